"""Pages and the API write no model: they call the acts, which hold permission, transaction and audit."""

import ast
from collections.abc import Iterator

import pytest

from .source import imports, place, python_files

THIN = ("shop/api", "shop/desks")

WRITING_CALLS = {
    "save", "create", "bulk_create", "get_or_create", "update", "bulk_update", "update_or_create", "delete",
    "asave", "acreate", "abulk_create", "aget_or_create", "aupdate", "abulk_update", "aupdate_or_create",
    "adelete", "select_for_update", "execute", "executemany",
}  # fmt: skip

# These bases save without a line that says so.
WRITING_BASES = {
    "ModelViewSet", "CreateModelMixin", "UpdateModelMixin", "DestroyModelMixin", "CreateAPIView",
    "UpdateAPIView", "DestroyAPIView", "ListCreateAPIView", "RetrieveUpdateAPIView",
    "RetrieveDestroyAPIView", "RetrieveUpdateDestroyAPIView", "CreateView", "UpdateView", "DeleteView",
}  # fmt: skip

# "file.py: the call's line as it is written" -> why it writes no model. A dict is extended with `|=`.
ALLOWED: dict[str, str] = {}


def writes(source: str) -> Iterator[tuple[ast.stmt | ast.expr, str]]:
    """Every call and base class in a source text that may write a model."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in WRITING_CALLS
        ):
            yield node, f".{node.func.attr}("
    for statement, name in imports(tree):
        if name.split(".")[-1] in WRITING_BASES:
            yield statement, name
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            for base in node.bases:
                if isinstance(base, ast.Attribute) and base.attr in WRITING_BASES:
                    yield base, base.attr


def test_pages_and_api_leave_writing_to_the_acts() -> None:
    found = []
    for file in python_files(*THIN):
        source = file.read_text()
        for node, what in writes(source):
            written = f"{file.name}: {source.splitlines()[node.lineno - 1].strip()}"
            if written not in ALLOWED:
                found.append(f"{place(file, node)} {what}")
    assert found == [], "Call an act instead (inventory/acting.py says what an act is)."


@pytest.mark.parametrize(
    "line",
    [
        "quote.save()",
        "Quote.objects.create(engine=engine)",
        "Quote.objects.filter(pk=1).update(state='held')",
        "self.get_object().delete()",
        "serializer.save()",
        "cursor.execute('DELETE FROM shop_quote')",
        "from rest_framework.viewsets import ModelViewSet",
        "class Quotes(viewsets.ModelViewSet): ...",
        "class Quotes(mixins.CreateModelMixin, viewsets.GenericViewSet): ...",
    ],
)
def test_the_look_out_sees_it(line: str) -> None:
    assert list(writes(line))


@pytest.mark.parametrize(
    "line",
    [
        "quoting.hold(request.user, quote)",
        "context |= {'quote': quote}",
        "from rest_framework.viewsets import ReadOnlyModelViewSet",
        "def create(self, request): return Response(quoting.quote(request.user))",
    ],
)
def test_the_look_out_lets_it_pass(line: str) -> None:
    assert list(writes(line)) == []
