"""The fixed texts of every paper, by language.

A language is a dictionary of the same keys. Adding one means a file beside `en.py` and a line in
`_LANGUAGES`; a test refuses a language with a missing key or a missing field.
"""

from dataclasses import dataclass, field
from types import MappingProxyType

from guiding.drawings.drop_plan import DropWords
from guiding.drawings.rig import RigWords
from guiding.drawings.strip import StripWords
from guiding.papers.records.letterhead import Standing
from guiding.papers.words.de import DE, DE_DROP, DE_RIG, DE_STRIP
from guiding.papers.words.en import EN, EN_STRIP


class Counted(int):
    """A number in a text that chooses its word: `{count:person|people}`."""

    def __format__(self, choice: str) -> str:
        one, bar, many = choice.partition("|")
        return f"{int(self)} {one if self == 1 else many}" if bar else format(int(self), choice)


def put_in(text: str, /, **values: object) -> str:
    """A text with its values; numbers choose between one and many."""
    return text.format(
        **{name: Counted(one) if type(one) is int else one for name, one in values.items()}
    )


@dataclass(frozen=True, slots=True)
class Words:
    """The fixed texts of one language; `strip`, `drop` and `rig` hold those of the drawings."""

    language: str
    texts: MappingProxyType[str, str]
    strip: StripWords
    drop: DropWords = field(default_factory=DropWords)
    rig: RigWords = field(default_factory=RigWords)

    def text(self, key: str) -> str:
        """The text of a key."""
        return self.texts[key]

    def band(self, standing: Standing) -> str:
        """What stands over every page of a paper of a trip that does not go ahead for certain."""
        key = _BANDS.get(standing)
        return self.text(key) if key else ""

    @staticmethod
    def of(language: str) -> "Words":
        """The words of a language; ValueError names the languages there are."""
        try:
            return _LANGUAGES[language]
        except KeyError:
            known = ", ".join(sorted(_LANGUAGES))
            raise ValueError(
                f"There are no papers in the language {language!r}; choose one of {known}."
            ) from None

    @staticmethod
    def languages() -> tuple[str, ...]:
        """The languages that papers can be printed in."""
        return tuple(sorted(_LANGUAGES))


_BANDS = {Standing.TENTATIVE: "page.tentative", Standing.CALLED_OFF: "page.called_off"}
_LANGUAGES = {
    "de": Words("de", MappingProxyType(DE), DE_STRIP, DE_DROP, DE_RIG),
    "en": Words("en", MappingProxyType(EN), EN_STRIP),
}
