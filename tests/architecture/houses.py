"""Who stands on whom, and what points where without an import: rows, addresses, templates."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.db.models import Model
from django.urls import URLPattern, URLResolver, get_resolver

import guiding

ROOT = Path(guiding.__file__).parent.parent
# Apps that hold tables or pages, and those each may point down to.
BELOW: dict[str, set[str]] = {
    "bookings": set(),
    "equipment": set(),
    "days": {"bookings", "equipment"},
    "safety": {"days", "bookings", "equipment"},
    "desk": {"safety", "days", "bookings", "equipment"},
    "beachlog": {"safety", "days", "bookings", "equipment"},
}
LOOK = "look"  # guiding/templates: the base page and its partials, which everybody may use


@dataclass(frozen=True, slots=True, order=True)
class Pointer:
    """Something in `room` that names something of `target`."""

    where: str
    room: str
    what: str
    target: str

    def __str__(self) -> str:
        return f"{self.where} ({self.room}) names {self.what} ({self.target})"


def points_up(pointer: Pointer) -> bool:
    """True when the target is neither the room itself nor below it."""
    return pointer.target != pointer.room and pointer.target not in BELOW.get(pointer.room, set())


def our_models() -> list[type[Model]]:
    return [model for model in apps.get_models() if model._meta.app_label in BELOW]


def relations(models: Iterable[type[Model]]) -> Iterator[Pointer]:
    """Every foreign key, one-to-one and many-to-many of ours to a table of ours."""
    for model in models:
        fields = (*model._meta.local_fields, *model._meta.local_many_to_many)
        for field in fields:
            if field.remote_field is None:
                continue
            ends = [field.remote_field.model, getattr(field.remote_field, "through", None)]
            for end in filter(None, ends):
                if end._meta.app_label in BELOW:
                    label = model._meta.label
                    app = model._meta.app_label
                    yield Pointer(
                        f"{label}.{field.name}", app, end._meta.label, end._meta.app_label
                    )


def app_of(module: str) -> str | None:
    """The app of ours that a module's name lies in."""
    for app in BELOW:
        if re.match(rf"(guiding\.)?{app}(\.|$)", module):
            return app
    return None


def address_homes() -> dict[str, set[str]]:
    """For each name of an address the apps whose `urls` say it; others are libraries'."""
    homes: dict[str, set[str]] = {}

    def walk(resolver: URLResolver, app: str | None) -> None:
        for entry in resolver.url_patterns:
            if isinstance(entry, URLResolver):
                module = getattr(entry.urlconf_name, "__name__", str(entry.urlconf_name))
                walk(entry, app_of(module) or app)
            elif isinstance(entry, URLPattern) and entry.name and app:
                homes.setdefault(entry.name, set()).add(app)

    walk(get_resolver(), None)
    return homes


def template_homes() -> dict[str, str]:
    """For each template of ours by its name, where it lives."""
    return {
        str(path.relative_to(folder)): _home(path)
        for folder in _template_folders()
        for path in folder.rglob("*")
        if path.is_file()
    }


def _template_folders() -> list[Path]:
    return sorted(
        folder
        for house in ("guiding", "bookings", "equipment")
        for folder in (ROOT / house).rglob("templates")
        if folder.is_dir()
    )


def _home(path: Path) -> str:
    return app_of(".".join(path.relative_to(ROOT).parts)) or LOOK


_TAG = re.compile(r"{%\s*(url|extends|include)\s+[\"']([^\"']+)[\"']")


def template_pointers() -> Iterator[Pointer]:
    """What the templates name by `url`, `extends` and `include`."""
    for folder in _template_folders():
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                yield from pointers_in_template(
                    path.read_text(encoding="utf-8"), str(path.relative_to(ROOT)), _home(path)
                )


def pointers_in_template(text: str, where: str, room: str) -> Iterator[Pointer]:
    for tag, name in _TAG.findall(text):
        yield from _pointers(where, room, name, is_address=tag == "url")


_CALLS = {"redirect": True, "reverse": True, "reverse_lazy": True, "render": False}


def code_pointers() -> Iterator[Pointer]:
    """What the Python of the apps names as text: addresses to go to, templates to show."""
    for app in BELOW:
        for folder in (ROOT / app, ROOT / "guiding" / app):
            for path in sorted(folder.rglob("*.py")):
                tree = ast.parse(path.read_text(encoding="utf-8"))
                where = str(path.relative_to(ROOT))
                for name, is_address in _named(tree):
                    yield from _pointers(where, app, name, is_address=is_address)


def _named(tree: ast.AST) -> Iterator[tuple[str, bool]]:
    for node in ast.walk(tree):
        called = node.func if isinstance(node, ast.Call) else None
        if isinstance(called, ast.Name) and called.id in _CALLS:
            for argument in node.args[:2]:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    yield argument.value, _CALLS[called.id]


def _pointers(where: str, room: str, name: str, *, is_address: bool) -> Iterator[Pointer]:
    """One pointer for what is ours; an address that several rooms say is the lowest's."""
    if not is_address:
        target = template_homes().get(name)
        if target and target != LOOK:
            yield Pointer(where, room, name, target)
        return
    homes = address_homes().get(name, set())
    if homes:
        found = [Pointer(where, room, name, home) for home in sorted(homes)]
        yield next((pointer for pointer in found if not points_up(pointer)), found[0])
