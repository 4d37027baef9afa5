"""What a browser would send back from a form of the studio: the values that stand in its fields."""

from typing import Any


def filled(page: Any, **changes: Any) -> dict[str, Any]:
    """The fields of the page's form and tables as shown, with `changes` typed over them."""
    data: dict[str, Any] = {}
    single = [page.context.get(name) for name in ("form", "rows", "steps", "sizes")]
    for item in (*single, *(page.context.get("forms") or ())):
        if item is None:
            continue
        forms = [item.management_form, *item.forms] if hasattr(item, "management_form") else [item]
        for form in forms:
            for field in form:
                value = field.value()
                if field.field.widget.__class__.__name__ == "CheckboxInput":
                    if value:
                        data[field.html_name] = "on"
                elif value is not None and not field.field.widget.needs_multipart_form:
                    data[field.html_name] = value
    return data | changes


def words_of(answer: Any) -> list[str]:
    """The messages on a page."""
    return [str(message) for message in answer.context["messages"]]
