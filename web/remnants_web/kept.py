"""What was worked out lately, so that it is not worked out twice while nothing changed."""

import threading
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

__all__ = ["Kept"]

Value = TypeVar("Value")


@dataclass
class Kept(Generic[Value]):
    """Up to `most` values by all that they depend on; the oldest goes first. For use by several threads."""

    most: int
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _values: OrderedDict[Hashable, Value] = field(default_factory=OrderedDict)

    def find(self, key: Hashable) -> Value | None:
        """The value kept under the key."""
        with self._lock:
            return self._values.get(key)

    def keep(self, key: Hashable, value: Value) -> Value:
        """Keeps the value, and gives it back."""
        with self._lock:
            self._values[key] = value
            while len(self._values) > self.most:
                self._values.popitem(last=False)
        return value
