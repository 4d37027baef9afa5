"""How forms are laid out by crispy-forms: our own form tag, token and buttons around its fields."""

from crispy_forms.helper import FormHelper


def plain_helper() -> FormHelper:
    """Fields and errors only; the template writes the form tag, the token and the buttons."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.form_show_errors = True
    return helper
