"""`manage.py compute`: every pure computation, listed and run by name."""

from __future__ import annotations

import json

from django.core.management.base import BaseCommand, CommandError, CommandParser

from guiding.desk.queries.computations import (
    Computation,
    computations,
    jsonable,
    run_computation,
)


class Command(BaseCommand):
    help = (
        "List every pure computation with arguments and units, or run one. "
        "Example: manage.py compute hover_power_w mass_kg=2.2 rotors=4 --json. "
        "A record is given as JSON: craft='{\"mass_kg\": 2.2}'."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", help="the computation; without it, the list")
        parser.add_argument("arguments", nargs="*", metavar="key=value")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *, name: str | None, arguments: list[str], json: bool, **_: object) -> None:
        known = computations()
        if name is None:
            self.stdout.write(
                _dump([_facts(key, each) for key, each in known.items()])
                if json
                else "\n".join(_line(key, each) for key, each in known.items())
            )
            return
        if name not in known:
            near = [key for key in known if name.lower() in key.lower()][:5]
            hint = f"Did you mean {', '.join(near)}?" if near else "Without a name all are listed."
            raise CommandError(f"There is no computation {name!r}. {hint}")
        typed: dict[str, str] = {}
        for pair in arguments:
            key, equals, value = pair.partition("=")
            if not equals:
                raise CommandError(f"{pair!r} is not of the form key=value.")
            typed[key] = value
        try:
            result = jsonable(run_computation(known[name], typed))
        except (ValueError, ArithmeticError, TypeError) as refusal:
            raise CommandError(str(refusal).replace("\n", " ")) from None
        self.stdout.write(_dump({"computation": name, "result": result}) if json else str(result))


def _dump(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


def _facts(key: str, each: Computation) -> dict[str, object]:
    return {
        "name": key,
        "room": each.room,
        "summary": each.summary,
        "arguments": [
            {
                "name": argument.name,
                "kind": argument.kind,
                "unit": argument.unit,
                "required": argument.required,
                "default": argument.default,
            }
            for argument in each.arguments
        ],
        "returns": each.returns,
    }


def _line(key: str, each: Computation) -> str:
    words = []
    for argument in each.arguments:
        unit = f" {argument.unit}" if argument.unit else ""
        word = f"{argument.name}: {argument.kind}{unit}"
        words.append(word if argument.required else f"[{word} = {argument.default}]")
    return f"{key}({', '.join(words)})\n    {each.summary}"
