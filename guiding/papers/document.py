"""A finished document: header, footer, facts of the file, and the note on lost letters."""

from reportlab.platypus import Flowable, Paragraph

from guiding.drawings.fonts import text_width
from guiding.papers.letters import BOX, Letters
from guiding.papers.page import Facts, Finished, Furniture, Press, Size
from guiding.papers.setting import Typesetter
from guiding.papers.styles import Styles

_CLIP = 160
_FOLIO_PT = 95.0  # room for 'page n of m' in the longest language
# Header and footer are alike on every paper, whatever the size of its body.
_FURNITURE = Styles.of(9.5, 1.26, 0.4)


class Document(Typesetter):
    """A typesetter that can also finish what it has set."""

    def finish(self, story: list[Flowable], title: str, subject: str) -> Finished:
        """The document on sheets with header and footer."""
        business = self.safe(self._clip(self.letterhead.business.name))
        kind = self._clip(title)
        lines = "  ·  ".join(self.letterhead.business.registration_lines)
        furniture = Furniture(
            head=Paragraph(business, _FURNITURE.business),
            head_right=Paragraph("<br/>".join(self._contact_lines()), _FURNITURE.small_right),
            runner=Paragraph(f"<b>{business}</b>  ·  {self.safe(kind)}", _FURNITURE.small),
            foot=self._foot(kind),
            foot_below=_fitted(self.letters.plain(lines), self.width),
            page_of=self.letters.plain(self.words.text("page.page_of")),
            small_pt=_FURNITURE.small.fontSize,
        )
        facts = self._facts(kind, subject)
        return Press.run(self._noted(story), self.letterhead.page_size, furniture, facts)

    def finish_card(
        self, story: list[Flowable], title: str, subject: str, size_mm: Size
    ) -> Finished:
        """The document on a small card, its number and date in one line at the foot."""
        facts = self._facts(self._clip(title), subject)
        return Press.run_card(self._noted(story), size_mm, self._foot(""), facts)

    def finish_bare(self, story: list[Flowable], title: str, subject: str) -> Finished:
        """The document on sheets without header, footer or margin."""
        return Press.run_bare(
            story, self.letterhead.page_size, self._facts(self._clip(title), subject)
        )

    def _noted(self, story: list[Flowable]) -> list[Flowable]:
        """The story, with a footnote where it holds letters that the font lacks."""
        if not self.letters.missing:
            return story
        note = f"{BOX} {self.words.text('page.missing')}"
        return [*story, self.gap(), self.para(self.safe(note), "small")]

    def _foot(self, kind: str) -> str:
        """Title, number and printing time; the title gives way where they would not fit."""
        printed = self.words.text("page.printed").format(when=self.when(self.letterhead.printed_at))
        number = self.words.text("page.number").format(number=_fitted(self.letterhead.number, 120))
        rest = self.letters.plain("  ·  ".join((number, printed)))
        if not kind:
            return rest
        room = self.width - _FOLIO_PT - text_width(rest, _FURNITURE.small.fontSize)
        return f"{_fitted(self.letters.plain(kind), room)}  ·  {rest}"

    def _facts(self, kind: str, subject: str) -> Facts:
        head = self.letterhead
        own_tongue = str(self.locale.language) == head.language
        band = self.words.band(head.standing)
        title = f"{kind} {self._clip(head.number)}".strip()
        return Facts(
            title=Letters.bare(f"{band}: {title}" if band else title),
            author=Letters.bare(self._clip(head.business.name)),
            subject=Letters.bare(self._clip(subject)),
            language=head.locale.replace("_", "-") if own_tongue else head.language,
            band=band,
        )

    def _contact_lines(self) -> list[str]:
        business = self.letterhead.business
        address = ", ".join(self._clip(line) for line in business.address_lines)
        reach = "  ·  ".join(
            self._clip(text) for text in (business.phone, business.mail, business.website) if text
        )
        return [self.safe(line) for line in (address, reach) if line]

    def _clip(self, text: str) -> str:
        """One line for header, footer or file facts, where no text may run on for ever."""
        return self.clipped(text, _CLIP)


def _fitted(text: str, room: float) -> str:
    """One line of the footer, cut with a dot row where it would run over its room."""
    line = " ".join(text.split())
    while len(line) > 1 and text_width(line, _FURNITURE.small.fontSize) > room:
        line = line[: max(1, len(line) - 2 - len(line) // 8)].rstrip() + "…"
    return line
