"""How large a drawing stands on a paper."""


def fitted(height_units: int, *, width_mm: int, most_height_mm: int) -> dict[str, str]:
    """
    Width and height in CSS millimetres of a drawing of 10 000 units by `height_units`, as large as both limits allow.

    >>> fitted(5_000, width_mm=180, most_height_mm=125)
    {'width': '180.0mm', 'height': '90.0mm'}
    """
    height_mm = min(width_mm * height_units / 10_000, most_height_mm)
    return {"width": f"{height_mm * 10_000 / height_units:.1f}mm", "height": f"{height_mm:.1f}mm"}
