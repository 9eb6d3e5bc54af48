"""Amounts of stock as a person reads them."""

from __future__ import annotations


def amount_words(mg: int, density_g_m3: int | None = None) -> str:
    """An amount by its volume where the density is known, else by its weight.

    >>> amount_words(1_500_000), amount_words(2_400), amount_words(2_100_000, 1_050_000)
    ('1.5 kg', '2.4 g', '2 l')
    >>> amount_words(0, 1_050_000), amount_words(787_500, 1_050_000), amount_words(5)
    ('0 ml', '750 ml', '0.005 g')
    """
    if density_g_m3:
        ml = 1e3 * mg / density_g_m3
        return f"{_figure(ml / 1000)} l" if round(ml) >= 1000 else f"{_figure(ml)} ml"
    g = mg / 1000
    return f"{_figure(g / 1000)} kg" if round(g) >= 1000 else f"{_figure(g)} g"


def two_amounts(one_mg: int, other_mg: int, density_g_m3: int | None = None) -> tuple[str, str]:
    """Two amounts that are not the same, in words that show it.

    >>> two_amounts(1_000_000, 1_000_001), two_amounts(1_000_000, 500_000)
    (('1000.000 g', '1000.001 g'), ('1 kg', '500 g'))
    """
    one, other = amount_words(one_mg, density_g_m3), amount_words(other_mg, density_g_m3)
    if one != other:
        return one, other
    return f"{one_mg / 1000:.3f} g", f"{other_mg / 1000:.3f} g"


def _figure(value: float) -> str:
    """Four figures without noughts at the end, and never a power of ten."""
    if abs(value) >= 1000:
        return f"{value:.0f}"
    said = f"{value:.4g}"
    return f"{value:.6f}".rstrip("0").rstrip(".") if "e" in said else said
