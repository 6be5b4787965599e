"""Two waters into one, and the salt for a batch. Litres, g/kg, degC; a litre weighs what TEOS-10 says.

Salt goes by mass, not by litres. The rule of thumb (shares of volume) is off by up to 0.23 g/kg in a mixture of fresh
water and sea water and by 2.6 % in the litres of a swap, always to the weak side.
"""

from __future__ import annotations

from dataclasses import dataclass

from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.water.dilution import share_to_reach
from pratique.water.salinity import density

SEA = 35.0
"""g/kg that salt is reckoned for where no salinity of a tank is on file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """So much of one water: litres, g/kg, degC."""

    litres: float
    salinity: float
    temperature: float = 25.0

    @property
    def mass(self) -> float:
        """kg."""
        return self.litres * density(self.salinity, self.temperature) / 1000

    @property
    def salt(self) -> float:
        """g of dissolved salt."""
        return self.mass * self.salinity


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """Litres to take out and litres to put in, the volume staying as it is."""

    out: float
    added: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltBatch:
    """A batch of sea water: g of the salt as weighed, and L of fresh water. The least salt is for the purest."""

    salt: Figure
    fresh_water: float


def mix_two(one: Portion, other: Portion) -> Portion:
    """Pour two portions together. ValueError where both are empty. Source: TEOS-10 (salt and heat by mass).

    >>> round(mix_two(Portion(litres=50, salinity=35), Portion(litres=50, salinity=0)).salinity, 2)
    17.73
    """
    if min(one.litres, other.litres) < 0 or one.litres + other.litres <= 0:
        raise ValueError("a mixture needs litres above zero")
    mass = one.mass + other.mass
    salinity = (one.salt + other.salt) / mass
    temperature = _temperature_of(one, other, salinity)
    litres = 1000 * mass / density(salinity, temperature)
    return Portion(litres=litres, salinity=salinity, temperature=temperature)


def litres_of_each(
    litres: float, wanted: float, one: float, other: float, temperature: float = 25.0
) -> tuple[float, float]:
    """L of water at `one` and at `other` g/kg that make `litres` at `wanted`, all at `temperature`.

    ValueError where they cannot. Source: TEOS-10.

    >>> [round(part, 2) for part in litres_of_each(100, 30, 35, 0)]
    [85.4, 14.61]
    """
    share = share_to_reach(one, wanted, other)
    mass = litres * density(wanted, temperature)
    return mass * (1 - share) / density(one, temperature), mass * share / density(other, temperature)


def swap_to_reach(volume: float, start: float, end: float, incoming: float, temperature: float = 25.0) -> Swap:
    """Litres to swap in `volume` L, all at `temperature`, to go from `start` to `end` g/kg with water at `incoming`.

    ValueError where no swap can. Source: TEOS-10.

    >>> swap = swap_to_reach(150, 35, 30, 0)
    >>> round(swap.out, 2), round(swap.added, 2)
    (21.9, 21.91)
    """
    kept, added = litres_of_each(volume, end, start, incoming, temperature)
    return Swap(out=volume - kept, added=added)


def after_swap(volume: float, start: float, out: float, incoming: float, temperature: float = 25.0) -> float:
    """g/kg once `out` L were taken from `volume` and it was filled up again with water at `incoming`.

    `swap_to_reach` goes back. ValueError where more is taken than there is. Source: TEOS-10.
    """
    if not 0 <= out <= volume or volume <= 0:
        raise ValueError(f"{out} L cannot be taken from {volume} L")
    kept = (volume - out) * density(start, temperature)
    salinity = start + (incoming - start) * out / volume
    for _ in range(40):  # the mass that fills the volume hangs a little on the answer; each round gains two digits
        added = volume * density(salinity, temperature) - kept
        salinity = (kept * start + added * incoming) / (kept + added)
    return salinity


def salt_for(litres: float, salinity: float, temperature: float = 25.0, purity: Figure | None = None) -> SaltBatch:
    """Salt and fresh water for `litres` of finished water at `salinity` g/kg.

    `purity` (%) is what dissolves as salt of a gram as weighed; without it that of the knowledge file, which is
    from memory. Weigh the least, mix, measure, and add. ValueError at a purity of zero. Source: TEOS-10; MEMORY.

    >>> batch = salt_for(100, 35)
    >>> round(batch.salt.low), round(batch.salt.high)
    (3581, 4213)
    """
    part = purity or _purity()
    if part.low <= 0:
        raise ValueError("a salt of no purity makes no sea water")
    batch = Portion(litres=litres, salinity=salinity, temperature=temperature)
    salt = Figure.around(100 * batch.salt / part.value, "g", 100 * batch.salt / part.high, 100 * batch.salt / part.low)
    water = (batch.mass - batch.salt / 1000) * 1000 / density(0.0, temperature)
    return SaltBatch(salt=salt, fresh_water=water)


def weighed(salt: Figure) -> str:
    """How a batch is weighed where nobody knows how damp the salt is: the least first, the rest by measuring."""
    return f"{digits(salt.low)} g of salt, measure, add up to {digits(salt.high)} g"


def _temperature_of(one: Portion, other: Portion, salinity: float) -> float:
    """degC of the mixture: the heat of sea water goes with its conservative temperature times its mass."""
    if one.temperature == other.temperature:
        return one.temperature
    import gsw

    heats = [float(gsw.CT_from_t(p.salinity, p.temperature, 0.0)) * p.mass for p in (one, other)]
    return float(gsw.t_from_CT(salinity, sum(heats) / (one.mass + other.mass), 0.0))


def _purity() -> Figure:
    known = store.water_figures().needed("salt_purity")
    return Figure(value=known.value, unit=known.unit, low=known.low, high=known.high)
