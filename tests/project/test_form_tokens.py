"""Every form that is posted bears the token against forged requests, also where scripts do not run to add it."""

import re

from django.conf import settings

FORM = re.compile(r"<form\b[^>]*>.*?</form>", re.DOTALL)
POSTS = re.compile(r"""method\s*=\s*["']?post""", re.IGNORECASE)
INCLUDE = re.compile(r"""{%\s*include\s+(?P<what>\S+)(?P<rest>[^%]*)%}""")
TOKEN = re.compile(r"{%\s*csrf_token\s*%}|{{\s*csrf_token\s*}}")
HANDED_ON = "csrf_token=csrf_token"


def templates() -> dict[str, str]:
    """The project's own templates by name."""
    apps = ("brewery", "inventory", "traceability")
    folders = [folder for app in apps for folder in (settings.BASE_DIR / app).rglob("templates") if folder.is_dir()]
    return {str(file.relative_to(folder)): file.read_text() for folder in folders for file in folder.rglob("*.html")}


def needy(told: dict[str, str]) -> set[str]:
    """The templates that write a token, themselves or by what they include in the same context."""
    found = {name for name, text in told.items() if TOKEN.search(text)}
    while True:
        more = {
            name
            for name, text in told.items()
            if any(one["what"].strip("\"'") in found for one in INCLUDE.finditer(text))
        } - found
        if not more:
            return found
        found |= more


def test_every_form_that_is_posted_writes_its_token():
    without = [
        name
        for name, text in templates().items()
        for form in FORM.findall(text)
        if POSTS.search(form) and not TOKEN.search(form)
    ]
    assert without == []


def test_what_is_included_with_a_context_of_its_own_is_handed_the_token_where_it_needs_it():
    told = templates()
    needs = needy(told)
    assert "production/brew_day/form.html" in needs
    left_out = [
        f"{name}: {one[0]}"
        for name, text in told.items()
        for one in INCLUDE.finditer(text)
        if one["rest"].split()[-1:] == ["only"]
        and HANDED_ON not in one["rest"]
        and (one["what"][0] not in "\"'" or one["what"].strip("\"'") in needs)
    ]
    assert left_out == []
