"""Code symbols as pictures that stand in the page itself."""

import base64

from campaign.symbols import Symbol


def picture_of(symbol: Symbol) -> dict[str, str | int]:
    """What an <img> needs: `src`, a data address, and `modules`, its width and height in pixels, one a module."""
    data = base64.b64encode(symbol.png).decode()
    return {"src": f"data:image/png;base64,{data}", "modules": symbol.width_modules}
