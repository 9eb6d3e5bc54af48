"""What a house file says of stock: its ledger, levels to make up to, and what is filled."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from prepkit.plan.fields import Reader
from prepkit.plan.files import below
from prepkit.stock.bottles import Container
from prepkit.units import Measured

if TYPE_CHECKING:
    from prepkit.plan.house_file import ContainerTable, HouseFile

_URL = ("postgresql://", "postgres://")


class HouseStock(NamedTuple):
    """The ledger's place, where this house stands in it, its pars (g or ml) and its containers."""

    ledger: str = ""
    site: str = "house"
    place: str = ""
    par: Mapping[str, Measured] = {}
    containers: Mapping[str, Container] = {}


def stock_of(reader: Reader, said: HouseFile, folder: Path) -> HouseStock:
    """What a house file says about stock; a file of a ledger lies below `folder`."""
    stock = HouseStock(
        par={} if said.par is None else said.par.others,
        containers={
            name: _container(name, one) for name, one in said.containers.items() if one.volume
        },
    )
    if said.stock is None:
        return stock
    ledger = said.stock.ledger
    if ledger and not ledger.lower().startswith(_URL):
        if below(folder, ledger) is None:
            reader.tell(
                reader.wrong(
                    ("stock", "ledger"),
                    f'"{ledger}" lies outside the folder of the house; keep it beside this file.',
                )
            )
            ledger = ""
        else:
            ledger = str(folder / ledger)
    return stock._replace(ledger=ledger, site=said.stock.site or stock.site, place=said.stock.place)


def _container(name: str, said: ContainerTable) -> Container:
    rated = None if said.rated is None else float(said.rated)
    return Container(name, float(said.volume), said.headspace, rated, said.case, said.note)
