"""What was worked out before, kept for whoever asks the same again.

An answer is given again only where everything that it was made from is the same: each thing that was read is part of what
it is kept under, compared by its content, or by being the same object (`Same`) where that object never changes. So what
was asked before never shows in an answer; `forget` drops everything, and a test asks every door before and after it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Generic, ParamSpec, TypeVar, cast

Answer = TypeVar("Answer")
Asked = ParamSpec("Asked")

_forgetting: list[Callable[[], None]] = []
_ABSENT = object()


def forget() -> None:
    """Drop everything that any memo of the package keeps."""
    for each in _forgetting:
        each()


def remembered(room: int) -> Callable[[Callable[Asked, Answer]], Callable[Asked, Answer]]:
    """Keep the last answers of a function whose arguments are all that it reads, and can be hashed."""

    def keeping(function: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
        kept = lru_cache(maxsize=room)(function)
        _forgetting.append(kept.cache_clear)
        return cast("Callable[Asked, Answer]", kept)

    return keeping


class Same:
    """A thing that is compared by being the same object: a list of springs, an order. It is kept alive meanwhile."""

    def __init__(self, thing: object) -> None:
        self.thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.thing is other.thing

    def __hash__(self) -> int:
        return id(self.thing)


class Looked(Mapping[str, Any]):
    """A mapping that notes what is read of it; whoever goes through all of it has read everything."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._values = values
        self.found: dict[str, Any] = {}
        self.everything = False

    def __getitem__(self, key: str) -> Any:
        value = self.found[key] = self._values.get(key, _ABSENT)
        if value is _ABSENT:
            raise KeyError(key)
        return value

    def __iter__(self) -> Iterator[str]:
        self.everything = True
        return iter(self._values)

    def __len__(self) -> int:
        self.everything = True
        return len(self._values)

    def same(self, values: Mapping[str, Any]) -> bool:
        """Tell whether whoever read this would find the same in other values."""
        if self.everything:
            return bool(self._values == values)
        return all(values.get(key, _ABSENT) == value for key, value in self.found.items())


@dataclass(frozen=True)
class _Kept(Generic[Answer]):
    read: tuple[Any, ...]
    looked: Looked
    answer: Answer


_NOTHING: Mapping[str, Any] = {}


class Memo(Generic[Answer]):
    """The last few answers to one question; in each place (an axle, a title) as many as there is room for."""

    def __init__(self, *, room: int = 1) -> None:
        self._room = room
        self._kept: dict[Hashable, list[_Kept[Answer]]] = {}
        _forgetting.append(self._kept.clear)

    def find(self, *read: Any, place: Hashable = None, values: Mapping[str, Any] = _NOTHING) -> Answer | None:
        """Return the answer that was made from the same, or None."""
        for one in self._kept.get(place, ()):
            if one.read == read and one.looked.same(values):
                return one.answer
        return None

    def keep(self, answer: Answer, *read: Any, place: Hashable = None, looked: Looked | None = None) -> Answer:
        """Keep an answer under everything that it was made from, and return it."""
        here = self._kept.setdefault(place, [])
        here.insert(0, _Kept(read, Looked({}) if looked is None else looked, answer))
        del here[self._room :]
        return answer

    def of(self, *read: Any, make: Callable[[], Answer], place: Hashable = None) -> Answer:
        """Return the answer to what is read, made where it is not kept. None is never kept."""
        found = self.find(*read, place=place)
        return self.keep(make(), *read, place=place) if found is None else found

    def looking(
        self, *read: Any, values: Mapping[str, Any], make: Callable[[Looked], Answer], place: Hashable = None
    ) -> Answer:
        """Return an answer that is made from some of many values: those that are looked at are noted and compared."""
        found = self.find(*read, place=place, values=values)
        if found is not None:
            return found
        looked = Looked(values)
        return self.keep(make(looked), *read, place=place, looked=looked)
