"""The signed form: the text exactly as it was signed, the mark, and what was recorded of it."""

from datetime import UTC

from reportlab.graphics.shapes import Drawing, PolyLine
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.document import Document
from guiding.papers.qr import QrCode
from guiding.papers.records import SignedForm
from guiding.papers.setting import Cell, Typesetter
from guiding.papers.styles import Tint

_MARK_WIDTH, _MARK_HEIGHT = 70 * mm, 24 * mm
_CODE_SIDE = 26 * mm


def signed_form_pdf(form: SignedForm) -> bytes:
    """Builds a signed form as a PDF: text, mark, evidence with fingerprints, and a square code.

    A record of what was agreed, not a shield; nothing in it is ever edited. The same record gives
    the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(form.letterhead)
    story: list[Flowable] = [
        setter.para(setter.word("form.name"), "kicker"),
        setter.heading(setter.safe(form.title), "title"),
    ]
    if form.superseded_by:
        told = setter.word("form.superseded", number=form.superseded_by)
        story += [setter.panel([setter.para(f"<b>{told}</b>", "tight")], Tint.RUST), setter.gap()]
    version = setter.word("form.version", version=form.text_version, language=form.text_language)
    story += [setter.para(version, "small"), setter.gap(0.5)]
    story += setter.text(form.text)
    story += [setter.gap(), KeepTogether(_mark(setter, form)), setter.gap()]
    story += _evidence(setter, form)
    story += [setter.gap(), setter.para(setter.word("form.not_a_shield"), "small")]
    kind = setter.words.text("form.name")
    return setter.finish(story, f"{kind}: {form.title}", form.signer_name).data


def _mark(setter: Typesetter, form: SignedForm) -> list[Flowable]:
    """Who signed, for whom, with what mark, when."""
    told: list[Flowable] = [setter.heading(setter.word("form.signature"))]
    if form.intent:
        told.append(setter.para(setter.word("page.quoted", text=form.intent), "tight"))
    if form.strokes:
        told.append(_strokes(form))
    else:
        mark = setter.word("form.on_paper") if form.on_paper else setter.safe(form.typed_name)
        told += [setter.gap(), setter.para(mark, "tight" if form.on_paper else "large")]
    told.append(setter.rule())
    told.append(setter.para(f"<b>{setter.safe(form.signer_name)}</b>", "tight"))
    if form.minor_name:
        told.append(
            setter.para(
                setter.word(
                    "form.for_minor",
                    relationship=form.relationship or "–",
                    name=form.minor_name,
                    age="–" if form.minor_age is None else form.minor_age,
                ),
                "tight",
            )
        )
    elif form.signed_for:
        told.append(setter.para(setter.word("form.for", name=form.signed_for), "tight"))
    told.append(setter.para(setter.safe(setter.when(form.signed_at)), "tight"))
    return [setter.panel(told, Tint.KELP)]


def _strokes(form: SignedForm) -> Drawing:
    """The drawn lines in their own proportions inside a fixed field."""
    picture = Typesetter.embedded(Drawing(_MARK_WIDTH, _MARK_HEIGHT))
    picture.hAlign = "LEFT"
    for stroke in form.strokes:
        points = [
            value
            for x, y in stroke
            for value in (
                min(max(x, 0.0), 1.0) * _MARK_WIDTH,
                (1 - min(max(y, 0.0), 1.0)) * _MARK_HEIGHT,
            )
        ]
        if len(points) == 2:  # a dot: a line needs an end
            points += [points[0] + 0.6, points[1]]
        if points:
            picture.add(PolyLine(points, strokeColor=Tint.INK, strokeWidth=1.3, strokeLineCap=1))
    return picture


def _kind_of_mark(form: SignedForm) -> str:
    if form.on_paper:
        return "form.mark_paper"
    return "form.mark_drawn" if form.strokes else "form.mark_typed"


def _evidence(setter: Typesetter, form: SignedForm) -> list[Flowable]:
    words = setter.words
    yes, no = words.text("page.yes"), words.text("page.no")
    mark = words.text(_kind_of_mark(form))
    number = "" if form.record_number is None else str(form.record_number)
    known = [
        ("form.identified", form.identified_by),
        ("form.means", form.means),
        ("form.mark", mark),
        ("form.time", f"{setter.when(form.signed_at)} ({form.signed_zone})"),
        ("form.time_utc", f"{form.signed_at.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"),
        ("form.electronic", yes if form.agreed_to_electronic else no),
        ("form.copy", yes if form.copy_given else no),
        ("form.text_hash", in_eights(form.text_sha256)),
        ("form.record_number", number),
        ("form.record_hash", in_eights(form.record_sha256)),
        ("form.previous_hash", in_eights(form.previous_sha256)),
    ]
    rows: list[list[Cell]] = [
        [setter.label(words.text(label)), setter.safe(text)] for label, text in known if text
    ]
    rows += [[setter.label(fact.label), setter.safe(fact.value)] for fact in form.facts]
    side = _CODE_SIDE if form.verify else 0.0
    table = setter.table(rows, (3, 7), pad=0.25, width=setter.width - side - 6)
    content: list[Flowable] = [*setter.part(setter.word("form.evidence"))]
    if not form.verify:
        return [*content, table]
    code: list[Flowable] = [
        QrCode(form.verify, side),
        setter.para(setter.word("form.code"), "caption"),
    ]
    shares = (setter.width - side, side)
    return [*content, setter.table([[[table], code]], shares, pad=0, plain=True)]


def in_eights(digest: str) -> str:
    """A fingerprint in groups, so that it can be compared by eye."""
    return " ".join(digest[start : start + 8] for start in range(0, len(digest), 8))
