"""Every pure computation of the project, found by looking at the pure rooms themselves."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import typing
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ConfigDict, TypeAdapter, ValidationError
from pydantic.errors import PydanticUserError
from pydantic_core import PydanticSerializationError

_ROOMS = (
    "guiding.almanac",
    "guiding.flying",
    "guiding.costing",
    "guiding.drawings",
    "guiding.calendars",
    "bookings.rules",
    "equipment.rules",
    "guiding.days.rules",
    "guiding.safety.rules",
)
_UNITS = {
    "m": "m",
    "km": "km",
    "mm": "mm",
    "m2": "m²",
    "ms": "m/s",
    "kmh": "km/h",
    "kn": "kn",
    "kg": "kg",
    "g": "g",
    "s": "s",
    "min": "min",
    "h": "h",
    "deg": "°",
    "rad": "rad",
    "c": "°C",
    "f": "°F",
    "k": "K",
    "n": "N",
    "kgf": "kgf",
    "lb": "lb",
    "j": "J",
    "w": "W",
    "wh": "Wh",
    "v": "V",
    "mv": "mV",
    "ah": "Ah",
    "mah": "mAh",
    "a": "A",
    "mohm": "mΩ",
    "share": "0 to 1",
    "pct": "%",
    "percent": "%",
    "pa": "Pa",
    "hpa": "hPa",
    "kg_m3": "kg/m³",
    "m3": "m³",
    "cm": "cm",
}


@dataclass(frozen=True, slots=True)
class Argument:
    name: str
    kind: str
    unit: str
    required: bool
    default: str


@dataclass(frozen=True, slots=True)
class Computation:
    """A public function of a pure room whose arguments can be typed."""

    name: str
    room: str
    summary: str
    arguments: tuple[Argument, ...]
    returns: str
    run: Callable[..., Any]


def computations() -> dict[str, Computation]:
    """By name; a name that two rooms use is written with its room in front."""
    found: dict[str, Computation] = {}
    for computation in _all():
        name = computation.name
        if name in found:
            name = f"{computation.room.rsplit('.', 1)[-1]}.{name}"
        found[name] = computation
    return dict(sorted(found.items()))


def _all() -> Iterator[Computation]:
    for room in _ROOMS:
        package = importlib.import_module(room)
        yield from _of(package.__name__, package)
        for module in pkgutil.walk_packages(package.__path__, f"{room}."):
            if not module.name.rsplit(".", 1)[-1].startswith("_"):
                yield from _of(room, importlib.import_module(module.name))


def _of(room: str, module: Any) -> Iterator[Computation]:
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if name.startswith("_") or function.__module__ != module.__name__:
            continue
        try:
            yield _described(room, name, function)
        except (PydanticUserError, TypeError, NameError):
            continue  # takes what cannot be typed on a command line: an array, a callable


def _described(room: str, name: str, function: Callable[..., Any]) -> Computation:
    hints = typing.get_type_hints(function)
    parameters = inspect.signature(function).parameters.values()
    for parameter in parameters:
        _adapter(hints[parameter.name]).json_schema()
    return Computation(
        name=name,
        room=room,
        summary=(inspect.getdoc(function) or "").split("\n", 1)[0],
        arguments=tuple(_argument(parameter, hints[parameter.name]) for parameter in parameters),
        returns=_kind(hints.get("return", Any)),
        run=function,
    )


def _adapter(hint: Any) -> TypeAdapter[Any]:
    if inspect.isclass(hint) and hasattr(hint, "__pydantic_config__"):
        return TypeAdapter(hint)
    config = ConfigDict(allow_inf_nan=False)
    try:
        return TypeAdapter(hint, config=config)
    except PydanticUserError:
        return TypeAdapter(hint)  # dataclasses carry their own configuration


def _argument(parameter: inspect.Parameter, hint: Any) -> Argument:
    required = parameter.default is inspect.Parameter.empty
    return Argument(
        name=parameter.name,
        kind=_kind(hint),
        unit=unit_of(parameter.name),
        required=required,
        default="" if required else _shown(parameter.default),
    )


def _shown(value: Any) -> str:
    text = str(value)
    return text if len(text) <= 40 else f"{type(value).__name__}()"


def _kind(hint: Any) -> str:
    text = hint.__name__ if inspect.isclass(hint) and not typing.get_args(hint) else str(hint)
    return re.sub(r"\b(?:[a-z_]+\.)+", "", text)


def unit_of(name: str) -> str:
    """The unit that the end of a name stands for; empty where it has none."""
    parts = name.split("_")
    for length in (2, 1):
        unit = _UNITS.get("_".join(parts[-length:])) if len(parts) > length else None
        if unit:
            return unit
    return ""


def run_computation(computation: Computation, typed: dict[str, str]) -> Any:
    """Run with arguments as typed; a ValueError carries one sentence on what is wrong."""
    hints = typing.get_type_hints(computation.run)
    known = {argument.name: argument for argument in computation.arguments}
    unknown = [name for name in typed if name not in known]
    if unknown:
        raise ValueError(
            f"{computation.name} has no argument {unknown[0]!r}; it takes "
            f"{', '.join(known) or 'none'}."
        )
    missing = [name for name, arg in known.items() if arg.required and name not in typed]
    if missing:
        raise ValueError(f"{computation.name} needs {', '.join(missing)} as well.")
    values = {name: _read(name, text, hints[name]) for name, text in typed.items()}
    return computation.run(**values)


def _read(name: str, text: str, hint: Any) -> Any:
    adapter = _adapter(hint)
    structured = text[:1] in {"{", "["}
    try:
        if structured:
            return adapter.validate_json(text)
        return adapter.validate_strings(text)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in (name, *first["loc"]))
        raise ValueError(f"{where}={text[:60]!r} cannot be used: {first['msg'].lower()}.") from None


def jsonable(value: Any) -> Any:
    """The result as plain JSON values; windows and other iterables become lists."""
    try:
        return TypeAdapter(type(value)).dump_python(value, mode="json")
    except (PydanticUserError, PydanticSerializationError):
        return str(value)
