"""Values that the type checker keeps frozen, for those made by the hundred of every narrative.

Python freezes a dataclass by taking each field of a new one through `object.__setattr__`, which makes it three times as
slow to make; stages hand on some two thousand values a narrative. To the type checker `value_class` is `dataclass` itself, so
that whoever sets a field of a frozen one is told; at run time it makes the same class without that check.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass as value_class
else:
    from dataclasses import dataclass

    def value_class(*, frozen: bool, slots: bool):
        """A dataclass that is equal and hashed by its fields, as a frozen one is."""
        return dataclass(slots=slots, unsafe_hash=frozen)


__all__ = ["value_class"]
