"""Gas in a room, cryogens and floating foams: more of it, less room, less air is never milder."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from proof.ranks import STOP, deeply, never_milder, rank

from prepkit.numbers import written

STEP = st.floats(1.001, 3.0)
GASES = ("co2", "n2o", "n2", "he", "ar", "o2")


def release(one: dict[str, Any], times: float = 1.0, sooner: float = 1.0) -> str:
    """One release in words: at once, or over a time."""
    amount = one["m3"] * times
    words = f"{amount:.9f} m3 {one['gas']}"
    if one["kg"]:
        words = f"{amount:.9f} kg {one['gas']}"
    if one["from"]:
        words += f" from {one['from']:.6f} min"
    return words + (f" over {one['over'] / sooner:.9f} h" if one["over"] else "")


RELEASES = st.lists(
    st.fixed_dictionaries(
        {
            "gas": st.sampled_from([*GASES, "dry ice", "liquid nitrogen"]),
            "m3": st.floats(0.0001, 4.0),
            "kg": st.booleans(),
            "over": st.just(0.0) | st.floats(0.05, 10.0),
            "from": st.just(0.0) | st.floats(1.0, 300.0),
        }
    ).map(lambda one: {**one, "kg": one["kg"] or one["gas"] in ("dry ice", "liquid nitrogen")}),
    min_size=1,
    max_size=3,
)


@deeply
@given(
    releases=RELEASES, volume=st.floats(5.0, 500.0), spread=st.floats(0.0, 0.3),
    equipment=st.floats(0.0, 40.0), air=st.none() | st.floats(0.05, 20.0),
    corner=st.floats(1.0, 4.0), temperature=st.floats(-5.0, 35.0), altitude=st.floats(0.0, 2000.0),
    place=st.sampled_from(["room", "bar", "cellar", "cold room"]),
    law=st.sampled_from(["us", "uk", "de", "eu"]), step=STEP,
)  # fmt: skip
def test_room(
    releases: list[dict[str, Any]], volume: float, spread: float, equipment: float,
    air: float | None, corner: float, temperature: float, altitude: float, place: str, law: str,
    step: float,
) -> None:  # fmt: skip
    def room(m3: float, share: float) -> str:
        return f"{m3:.9f} m3 ± {m3 * share:.9f} m3"

    said = {
        "release": [release(one) for one in releases], "volume": room(volume, spread),
        "equipment": f"{equipment} %", "air_changes": air, "worst_corner": corner,
        "temperature": f"{temperature} C", "altitude": f"{altitude} m", "place": place,
    }  # fmt: skip
    changes: list[dict[str, Any]] = [
        {"release": [release(one, step) for one in releases]},
        {"volume": room(volume / step, spread)},
        {"volume": room(volume, min(0.9, spread * step))},
        {"equipment": f"{min(90.0, equipment * step)} %"},
        {"worst_corner": corner * min(step, 2.0)},
        {"temperature": f"{temperature + step} C"},
        {"altitude": f"{altitude + 300.0 * step} m"},
        {"place": "lift"},
        {"air_changes": None},
        {"release": [*said["release"], "0.01 m3 co2"]},
        {"release": [*said["release"], f"{step} m3 n2 from 1 h over 2 h"]},
    ]
    if air is not None:
        changes += [{"air_changes": air / step}, {"air_changes": 0.0},
                    {"air_changes": f"{air} /h ± {0.5 * air} /h"}]  # fmt: skip
    # the same gas in a shorter time; where it starts later than others it may meet them no more
    if len(releases) == 1:
        changes.append({"release": [release(one, sooner=step) for one in releases]})
    if place == "room":
        changes += [{"place": "cold room"}, {"place": "cellar"}]
    never_milder("room", said, *changes)
    # where nobody said whose limits hold, all of them do
    never_milder("room", {**said, "jurisdiction": law}, {"jurisdiction": None})


@deeply
@given(
    cryogen=st.sampled_from(["liquid nitrogen", "dry ice"]), kg=st.none() | st.floats(0.1, 10.0),
    start=st.floats(2.0, 60.0), target=st.floats(-25.0, 2.0), stored=st.floats(0.0, 30.0),
    hours=st.floats(0.5, 24.0), loss=st.none() | st.floats(0.05, 5.0),
    room=st.sampled_from([None, *range(10, 2000, 50)]), air=st.none() | st.floats(0.05, 20.0),
    used=st.none() | st.floats(0.0, 1.0), place=st.sampled_from(["room", "bar", "cellar"]),
    service=st.sampled_from([None, None, "gone", "gone", "fog"]), at=st.floats(0.0, 35.0),
    step=STEP,
)  # fmt: skip
def test_cryogen(
    cryogen: str, kg: float | None, start: float, target: float, stored: float, hours: float,
    loss: float | None, room: float | None, air: float | None, used: float | None, place: str,
    service: str | None, at: float, step: float,
) -> None:  # fmt: skip
    said: dict[str, Any] = {
        "cryogen": cryogen, "stored": f"{stored} kg", "hours": f"{hours} h",
        "dewar_loss": None if loss is None else f"{loss} l/d",
        "room_volume": None if room is None else f"{room} m3", "air_changes": air,
        "cold_used": used, "place": place, "service": service, "room_temperature": f"{at} C",
    }  # fmt: skip
    if kg is not None:
        said |= {"part": f"{kg:.9f} kg vodka 40 %", "temperature": f"{start} C",
                 "target": f"{target} C"}  # fmt: skip
    changes: list[dict[str, Any]] = [
        {"stored": f"{stored * step} kg"}, {"room_volume": None}, {"place": "lift"},
        {"place": "cold room"}, {"service": "left in"}, {"air_changes": None},
        {"room_temperature": f"{at + step} C"}, {"hours": f"{hours / step} h"},
    ]  # fmt: skip
    if cryogen == "liquid nitrogen" and loss is not None:
        changes.append({"dewar_loss": f"{loss * step} l/d"})
    if room is not None:
        changes += [{"room_volume": f"{room / step} m3"},
                    {"room_volume": f"{room} m3 ± {room * 0.3} m3"}]  # fmt: skip
    if air is not None:
        changes += [{"air_changes": air / step}, {"air_changes": 0.0}]
    if kg is not None:
        changes += [{"part": f"{kg * step:.9f} kg vodka 40 %"},
                    {"temperature": f"{min(90.0, start * step)} C"},
                    {"target": f"{target - step} C"}]  # fmt: skip
        if used is not None:
            changes.append({"cold_used": used / step})
            changes.append({"cold_used": None})
    never_milder("cryogen", said, *changes)


@deeply
@given(
    gas=st.sampled_from(["helium", "nitrous oxide", "carbon dioxide", "argon", "nitrogen",
                         "neon", "hydrogen", "methane"]),
    wet=st.none() | st.floats(0.005, 5.0), volume=st.floats(1.0, 5000.0),
    serves=st.integers(1, 400), lost=st.floats(0.0, 80.0),
    room=st.none() | st.floats(0.5, 300.0), step=STEP,
)  # fmt: skip
def test_float(
    gas: str, wet: float | None, volume: float, serves: int, lost: float, room: float | None,
    step: float,
) -> None:  # fmt: skip
    said: dict[str, Any] = {
        "gas": gas, "liquid_fraction": None if wet is None else f"{wet} %",
        "foam_volume": f"{written(volume, 'ml')} ml", "serves": serves, "lost": f"{lost} %",
        "room_volume": None if room is None else f"{room} m3",
    }  # fmt: skip
    changes: list[dict[str, Any]] = [
        {"gas": "hydrogen"}, {"foam_volume": f"{volume * step} ml"},
        {"serves": int(serves * step) + 1}, {"lost": f"{min(99.0, lost + step)} %"},
    ]  # fmt: skip
    if wet is not None:
        changes.append({"liquid_fraction": f"{wet * step} %"})
    if room is not None:
        changes.append({"room_volume": f"{room / step} m3"})
    here = never_milder("float", said, *changes)
    if gas in ("hydrogen", "methane"):
        assert here >= STOP


def test_every_verdict_comes_up() -> None:
    """The spaces above are no use if one of them never does."""
    told = {"volume": "50 m3", "air_changes": 2}
    assert [rank("room", {**told, "release": f"{m3} m3 n2"}) for m3 in (0.1, 3.0, 4.0)] == [0, 1, 2]
    ice = {"cryogen": "dry ice", "part": "1 l syrup 20 Bx", "temperature": "20 C", "target": "2 C"}
    assert rank("cryogen", {**ice, "room_volume": "100 m3", "air_changes": 4}) == 1
    assert rank("cryogen", {**ice, "room_volume": "1 m3"}) == STOP
    said = {"gas": "helium", "foam_volume": "150 ml", "serves": 40}
    assert rank("float", {**said, "room_volume": "60 m3"}) == 1
    assert rank("float", {**said, "serves": 400, "room_volume": "0.5 m3"}) == STOP
