"""Text at twice its size, and what is lost of a page then."""

# Every element that shows text of its own and hides part of it, or lies outside.
CUT = """() => {
  const cut = [];
  for (const one of document.querySelectorAll('main *, dialog *')) {
    const box = one.getBoundingClientRect();
    if (!box.width || one.closest('.unseen, svg, option')) continue;
    const own = [...one.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
    const isHiding = getComputedStyle(one).overflow !== 'visible';
    const isWider = one.scrollWidth > one.clientWidth + 1;
    const isTaller = one.scrollHeight > one.clientHeight + 1;
    const isCramped = one.matches('input, button') && isWider;
    const isCut = own && isHiding && (isWider || isTaller);
    const isOutside = box.right > innerWidth + 1 || box.left < -1;
    if (isCramped || isCut || isOutside) cut.push(one.outerHTML.slice(0, 90));
  }
  return cut;
}"""
NOTHING = ([], 0)


def enlarge(tab):
    """Show every page from now on with text at twice its size."""
    tab.add_init_script(
        "document.addEventListener('DOMContentLoaded', () => "
        "document.documentElement.style.setProperty('font-size', '200%'));"
    )


def lost(tab):
    """Return what is cut, and by how much the page is too wide."""
    too_wide = tab.evaluate(
        "Math.max(document.documentElement.scrollWidth, "
        "...[...document.querySelectorAll('dialog[open]')].map(d => d.scrollWidth))"
        " - innerWidth"
    )
    return tab.evaluate(CUT), max(too_wide, 0)
