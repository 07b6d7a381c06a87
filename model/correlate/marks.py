"""What each element hits among the services somebody asked about, as bits: one bit for each arm of each service.

An element kills a service when it covers all the bits of it, and two elements together kill what their bits together
cover; so a service with a standby feed needs no case of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from model.correlate.paths import Paths


@dataclass(slots=True)
class Marks:
    """Bits of the services that are down and of those that are up, and the bits of every element on their paths.

    ``hits`` is in the order the elements are met, down services first. ``order`` tells how far an element lies from
    the exchange on the path it was first met on.
    """

    down: tuple[str, ...]
    up: tuple[str, ...]
    bits: dict[str, int] = field(default_factory=dict)
    of_bit: list[str] = field(default_factory=list)
    """The service of each bit, by its place."""
    hits: dict[str, int] = field(default_factory=dict)
    order: dict[str, int] = field(default_factory=dict)
    down_bits: int = 0
    up_single: int = 0
    """Bits of the services up that have one arm only: hitting one of them is a contradiction."""
    up_several: tuple[int, ...] = ()
    """Bits of each service up that has several arms."""

    def explains(self, hit: int) -> tuple[str, ...]:
        """Services down that a fault with these bits explains."""
        return self._covered(hit & self.down_bits)

    def contradicted_by(self, hit: int) -> tuple[str, ...]:
        """Services up although a fault with these bits would have darkened them."""
        if not hit & self.up_single and not any(hit & own == own for own in self.up_several):
            return ()
        return self._covered(hit & ~self.down_bits)

    def _covered(self, hit: int) -> tuple[str, ...]:
        """Services all of whose bits are among these, in the order asked."""
        found: dict[str, None] = {}
        while hit:
            low = hit & -hit
            service = self.of_bit[low.bit_length() - 1]
            if self.bits[service] & hit == self.bits[service] or service in found:
                found[service] = None
            hit ^= low
        return tuple(found)

    def counts(self, hit: int) -> tuple[int, int]:
        """(number explained, number contradicted), without naming them."""
        if hit & self.down_bits == self.down_bits:
            explained = len(self.down)
        elif self.down_bits.bit_count() == len(self.down):
            explained = (hit & self.down_bits).bit_count()
        else:
            explained = len(self.explains(hit))
        return explained, (hit & self.up_single).bit_count() + sum(hit & own == own for own in self.up_several)


def marks(paths: Paths, down: Sequence[str], up: Sequence[str]) -> Marks:
    """The bits of these services; those without a recorded path are left out."""
    found = Marks(tuple(s for s in down if paths.arms(s)), tuple(s for s in up if paths.arms(s)))
    several: list[int] = []
    bit = 1
    hits, order = found.hits, found.order
    for service in (*found.down, *found.up):
        own = 0
        for arm in paths.arms(service):
            for place, key in enumerate(arm):
                if key in hits:
                    hits[key] |= bit
                else:
                    hits[key] = bit
                    order[key] = len(arm) - place
            own |= bit
            bit <<= 1
            found.of_bit.append(service)
        found.bits[service] = own
    for service in found.down:
        found.down_bits |= found.bits[service]
    for service in found.up:
        own = found.bits[service]
        if own.bit_count() == 1:
            found.up_single |= own
        else:
            several.append(own)
    found.up_several = tuple(several)
    return found
