"""Every template of the house: it compiles, and holds nothing that the security policy refuses."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template import Context
from django.template.loader import get_template, render_to_string

import guiding
from tests.look.markup import elements
from tests.look.stylesheet import SHEET, TEXT

ROOT = Path(guiding.__file__).parent.parent
FOLDERS = sorted(
    folder
    for house in ("guiding", "bookings", "equipment")
    for folder in (ROOT / house).rglob("templates")
    if folder.is_dir()
)
TEMPLATES = {
    str(path.relative_to(folder)): path
    for folder in FOLDERS
    for path in folder.rglob("*.[ht][tx][mt]*")
}
LOOK = ROOT / "guiding" / "templates"
OURS = sorted(
    name
    for name, path in TEMPLATES.items()
    if path.is_relative_to(LOOK) and path.suffix == ".html"  # mail is plain text: nothing to escape
)
COLOUR = re.compile(
    r"(?<!href=\")(?<!&)#(?:[0-9a-f]{3}){1,2}\b|\b(?:rgb|hsl|oklch|oklab)a?\(", re.IGNORECASE
)
REFUSALS = ["400.html", "403.html", "403_csrf.html", "404.html", "429.html", "500.html", "503.html"]
# What crispy-forms asks of a pack, by the names in its own code.
_PACK = """
    field display_form errors errors_formset inputs multifield uni_form uni_formset whole_uni_form
    whole_uni_formset betterform table_inline_formset accordion accordion-group layout/alert
    layout/baseinput layout/button layout/buttonholder layout/checkboxselectmultiple
    layout/checkboxselectmultiple_inline layout/column layout/div layout/field_errors
    layout/field_errors_block layout/field_with_buttons layout/fieldset layout/formactions
    layout/help_text layout/help_text_and_errors layout/inline_field layout/modal layout/multifield
    layout/prepended_appended_text layout/radioselect layout/radioselect_inline layout/row
    layout/tab layout/tab-link layout/uneditable_input
"""
PACK = _PACK.split()


def test_there_are_templates_to_look_at() -> None:
    assert {"base.html", "500.html", "sandspike/field.html", "account/login.html"} <= set(OURS)


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_a_template_compiles(name: str) -> None:
    assert get_template(name).template.nodelist


@pytest.mark.parametrize("name", PACK)
def test_the_pack_has_what_the_library_asks_for(name: str) -> None:
    assert f"sandspike/{name}.html" in TEMPLATES


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_a_template_keeps_style_and_script_out(name: str) -> None:
    # What stands in a template tag never reaches the page as an attribute.
    text = re.sub(r"{%.*?%}", " ", TEMPLATES[name].read_text(encoding="utf-8"))
    assert not re.search(r"<style|\sstyle\s*=", text)
    assert not re.search(r"\son[a-z]+\s*=|javascript:", text)
    assert not re.search(r"<script(?![^>]*(?:\ssrc=|application/json))", text)
    assert not re.search(r"(?:src|href)=[\"'](?:https?:)?//", text), "everything is served by us"
    assert not COLOUR.search(text)


# Pages whose own secret address is the token, read without a cookie: tests post to each of them.
OWN_ADDRESS = {
    "bookings/client.html",
    "bookings/_client_day.html",
    "bookings/_client_price.html",
    "desk/answer.html",
}


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_a_form_that_changes_something_carries_its_token(name: str) -> None:
    text = TEMPLATES[name].read_text(encoding="utf-8")
    if name in OWN_ADDRESS:
        return
    posts = re.findall(r"<form[^>]*method=\"post\".*?</form>", text, re.DOTALL | re.I)
    assert all("csrf_token" in form for form in posts)


@pytest.mark.parametrize("name", OURS)
def test_our_pages_switch_no_escaping_off(name: str) -> None:
    assert not re.search(r"\|\s*safe\b|autoescape off", TEMPLATES[name].read_text(encoding="utf-8"))


def test_every_class_of_a_page_is_in_the_sheet() -> None:
    used = set()
    for name in TEMPLATES:
        text = re.sub(r"{%.*?%}|{{.*?}}|{#.*?#}", " ", TEMPLATES[name].read_text(encoding="utf-8"))
        for classes in re.findall(r"class=\"([^\"]*)\"", text):
            used |= {word for word in classes.split() if not word.endswith("-")}
    missing = {word for word in used if not re.search(rf"\.{re.escape(word)}(?![\w-])", TEXT)}
    assert used
    assert not missing


def test_the_sheet_is_light_enough_to_block_the_first_paint() -> None:
    assert SHEET.stat().st_size <= 25_600
    script = SHEET.with_name("desk.js")
    assert script.stat().st_size <= 5_120


def test_the_sheet_stands_alone_and_minds_motion_focus_and_paper() -> None:
    assert "@import" not in TEXT
    assert "url(" not in TEXT
    for needed in ("prefers-reduced-motion", ":focus-visible", "@media print", "forced-colors"):
        assert needed in TEXT
    moving = re.findall(r"(?:transition|animation)[\w-]*:", TEXT)
    quiet = TEXT[TEXT.index("@media (prefers-reduced-motion") :].split("}\n}")[0]
    assert len(moving) == len(re.findall(r"(?:transition|animation)[\w-]*:", quiet))


def _base(**context: object) -> str:
    return render_to_string("base.html", context)


def test_the_base_page_has_language_skip_link_and_landmarks() -> None:
    html = _base(title="Spots", nav=[("Today", "/", False), ("Spots", "/spots/", True)])
    found = elements(html)
    tags = [element.tag for element in found]
    assert found[0].attrs["lang"] == "en"
    for landmark in ("header", "nav", "main", "footer", "h1"):
        assert tags.count(landmark) == 1
    links = [element for element in found if element.tag == "a"]
    assert (links[0].text, links[0].attrs["href"]) == ("Skip to the page", "#main")
    assert [link.text for link in links if link.attrs.get("aria-current") == "page"] == ["Spots"]
    assert next(e for e in found if e.tag == "title").text == "Spots · Sandspike"
    assert "check with your own authority" in html


def test_the_base_page_says_when_the_season_is_invented() -> None:
    business = {"name": "Marram Head", "is_demo": True}
    assert "Demo season" in _base(business=business)
    assert "Demo season" not in _base(business={**business, "is_demo": False})


def test_the_scheme_chosen_in_setup_reaches_the_page() -> None:
    assert elements(_base(scheme="dark"))[0].attrs["data-scheme"] == "dark"
    assert "data-scheme" not in elements(_base())[0].attrs


def test_a_hostile_name_stays_text() -> None:
    html = _base(business={"name": "<script>x</script>"}, title='"><img src=x>')
    assert "<script>x" not in html
    assert "<img" not in html


def test_a_client_page_is_not_indexed_and_sends_no_referrer() -> None:
    html = render_to_string(
        "base_public.html",
        {"title": "Your day", "nav": [("Today", "/", True)],
         "business": {"name": "Marram Head", "guide_name": "Orla", "phone": "+35315550100"}},
    )  # fmt: skip
    metas = {e.attrs.get("name"): e.attrs.get("content") for e in elements(html) if e.tag == "meta"}
    assert "noindex" in metas["robots"]
    assert metas["referrer"] == "no-referrer"
    assert not [e for e in elements(html) if e.tag == "nav"]
    assert "tel:+35315550100" in html


@pytest.mark.parametrize("name", REFUSALS)
def test_a_refusal_says_what_it_was_and_what_to_do(name: str) -> None:
    html = get_template(name).template.render(Context())
    heads = [e.text for e in elements(html) if e.tag == "h1"]
    assert len(heads) == 1
    assert heads[0]
    assert len([e for e in elements(html) if e.tag == "p"]) >= 3
    assert not re.search(r"\b(exception|traceback|forbidden|csrf|token|http|error)\b", html, re.I)


def test_the_page_of_a_breakdown_needs_nothing() -> None:
    text = TEMPLATES["500.html"].read_text(encoding="utf-8")
    assert "{%" not in text
    assert "{{" not in text
