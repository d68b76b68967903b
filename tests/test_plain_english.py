"""At most 25 words a sentence in what people read: pages, prints, messages, and the docs that they work by."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MOST_WORDS = 25
READ = (ROOT / "README.md", ROOT / "docs" / "tutorial.md", *sorted((ROOT / "docs" / "how-to").glob("*.md")))
TEMPLATES = sorted((ROOT / "web" / "remnants_web" / "templates").rglob("*.html"))
PROGRAM = sorted(path for folder in ("remnants", "web/remnants_web") for path in (ROOT / folder).rglob("*.py"))

CODE = re.compile(r"^```.*?^```$|^(?: {4,}\S[^\n]*\n?)+(?=\n|\Z)", flags=re.MULTILINE | re.DOTALL)
NEW_THOUGHT = re.compile(r"^\s*(?:[-*]|\d+\.|#+)\s|^\s*\||\|", flags=re.MULTILINE)
INLINE = re.compile(r"</?(?:a|abbr|b|bdi|code|em|q|span|strong|time|var)\b[^>]*>")
SQL = re.compile(r"\b(?:SELECT|CREATE|INSERT|UPDATE|DELETE)\b")


def too_long(text: str) -> list[str]:
    """The sentences of a text with more words than may be; an empty line, a semicolon or a colon ends one as well."""
    blocks = (" ".join(block.split()) for block in re.split(r"\n\s*\n", text))
    sentences = (sentence for block in blocks for sentence in re.split(r"(?<=[.!?:;])[\"”)*_’]*\s+", block))
    return [each for each in sentences if sum(bool(re.search(r"\w", word)) for word in each.split()) > MOST_WORDS]


def prose(page: str) -> str:
    """A page without its code; each item of a list and each cell of a table by itself."""
    words = CODE.sub("\n\n", page)
    words = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", re.sub(r"`[^`]*`", "X", words))
    return NEW_THOUGHT.sub("\n\n", words)


def visible(template: str) -> str:
    """What a template shows: what is filled in is one word, and of what is shown by a condition each part stands alone."""
    words = re.sub(r"\{#.*?#\}", "", template, flags=re.DOTALL)
    words = re.sub(r"<(script|style|svg)\b.*?</\1>", "\n\n", words, flags=re.DOTALL)
    words = re.sub(r"\{\{.*?\}\}", "X", words, flags=re.DOTALL)
    words = re.sub(r"\{%-?\s*(?:else|elif)\b.*?%\}", "\n\n", words, flags=re.DOTALL)
    words = INLINE.sub("", re.sub(r"\{%.*?%\}", "", words, flags=re.DOTALL))
    return re.sub(r"<[^>]+>", "\n\n", words)


def texts(module: str) -> Iterator[str]:
    """The texts of a module, but docstrings and questions to the database; what is filled in is one word."""
    tree = ast.parse(module)
    passed = {id(each.value) for each in ast.walk(tree) if isinstance(each, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            passed |= {id(each) for each in ast.walk(node) if each is not node and isinstance(each, ast.Constant)}
            words = "".join(str(each.value) if isinstance(each, ast.Constant) else "X" for each in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed:
            words = node.value
        else:
            continue
        if not SQL.search(words) and not re.fullmatch(r"(?:[A-Z]{3}\s*)+", words):  # the last is the list of currencies
            yield "\n\n".join(words.splitlines())


@pytest.mark.parametrize("page", READ, ids=lambda path: path.name)
def test_no_sentence_of_a_page_of_the_docs_is_long(page: Path) -> None:
    assert too_long(prose(page.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_no_sentence_on_a_page_is_long(template: Path) -> None:
    assert too_long(visible(template.read_text(encoding="utf-8"))) == []


def test_no_sentence_of_a_message_or_a_print_is_long() -> None:
    told = {
        path.relative_to(ROOT): [long for text in texts(path.read_text(encoding="utf-8")) for long in too_long(text)]
        for path in PROGRAM
    }
    assert {path: long for path, long in told.items() if long} == {}


LONG = " ".join(["carpet"] * 26) + "."


@pytest.mark.parametrize(
    "found",
    [
        too_long(prose(f"# Cut\n\n- Short.\n- {LONG}\n")),
        too_long(prose(f"| key | meaning |\n| --- | --- |\n| pile | {LONG} |\n")),
        too_long(visible(f"{{% if wide %}}<p>It is <b>wide</b>. {LONG}</p>{{% endif %}}")),
        [long for text in texts(f"def told(tag):\n    return f'{{tag}} {LONG}'\n") for long in too_long(text)],
    ],
)
def test_a_long_sentence_is_found(found: list[str]) -> None:
    assert len(found) == 1


@pytest.mark.parametrize(
    "found",
    [
        too_long(prose("Run it:\n\n    remnants log " + "--width 40 " * 20 + "\n\nThen look.\n")),
        too_long(visible("{% if wide %}" + "wide " * 20 + "{% else %}" + "narrow " * 20 + "{% endif %}")),
        [long for text in texts(f'"""{LONG}"""\n') for long in too_long(text)],
    ],
)
def test_code_other_branches_and_docstrings_are_no_long_sentences(found: list[str]) -> None:
    assert found == []
