// Screens and their sizes; and what every screen must hold at every size, looked at in one pass over a page.

export const SIZES = {
  'small phone': {width: 320, height: 640},
  phone: {width: 360, height: 740},
  tablet: {width: 768, height: 1024},
  desk: {width: 1280, height: 800},
  'phone lying': {width: 740, height: 360},
  'desk at 200%': {width: 640, height: 400}, // 1280 x 800, each pixel twice as large
};

/** Ends when what changed until now is on the screen. */
export const painted = (page) =>
  page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));

/** All that folds is unfolded. */
export const openAll = (page) =>
  page.evaluate(() => document.querySelectorAll('details').forEach((node) => (node.open = true)));

const LEAST_TARGET_PX = 44;
const WORK_SHARE = 2 / 3; // of the height, for the work

/* Runs in the page. Boxes of a label count for the input in it; the photo's own handles are looked at elsewhere. */
function faults({least, share}) {
  const found = [];
  const say = (what, node) => found.push(`${what}: ${node.outerHTML.slice(0, 110)}`);
  const main = document.querySelector('#main');
  const dialog = document.querySelector('dialog[open]');
  const around = dialog ?? document;
  if (document.documentElement.scrollWidth > innerWidth) found.push(`the page is ${document.documentElement.scrollWidth} px wide`);
  if (main.scrollWidth > main.clientWidth) found.push(`the work is ${main.scrollWidth} px wide`);
  if (main.clientHeight < share * innerHeight - 1) found.push(`only ${main.clientHeight} px of ${innerHeight} for the work`);
  const scroller = (node) => node.closest('.strip, .chart-scroll, .table-scroll, .chips');
  const controls = [...around.querySelectorAll('button, a, input, select, summary, [tabindex="0"]')].filter((node) => {
    if (node.matches('.skip, .stage, .stage *, .strip, .chart-scroll, .table-scroll')) return false;
    const box = (node.closest('label') ?? node).getBoundingClientRect();
    return box.width > 0 && box.height > 0 && node.checkVisibility({visibilityProperty: true});
  });
  for (const node of controls) {
    const shown = node.matches('input') ? (node.closest('label') ?? node) : node;
    shown.scrollIntoView({block: 'center', inline: 'center', behavior: 'instant'});
    const box = shown.getBoundingClientRect();
    if (box.width < least - 0.5 || box.height < least - 0.5)
      say(`${Math.round(box.width)} x ${Math.round(box.height)} px`, node);
    if (!scroller(node) && (box.left < -0.5 || box.right > innerWidth + 0.5)) say('cut at the side', node);
    const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
    const top = document.elementFromPoint(x, y);
    if (!top || !(shown.contains(top) || top.contains(shown))) say(`covered by ${top?.outerHTML.slice(0, 60)}`, node);
  }
  // Text that its box does not hold; what is shortened with an ellipsis on purpose is whole in its title or elsewhere.
  for (const node of around.querySelectorAll('p, h1, h2, h3, h4, span, li, small, td, th')) {
    const style = getComputedStyle(node);
    if (node.matches('.unseen, .stage *') || style.textOverflow === 'ellipsis' || style.clipPath !== 'none') continue;
    if (style.overflowX !== 'visible' && node.scrollWidth > node.clientWidth + 1 && !scroller(node)) say('text cut', node);
  }
  return found;
}

/** What is wrong with the screen as it stands, in words; [] when nothing is. */
export const faultsOf = (page) =>
  page.evaluate(faults, {
    least: LEAST_TARGET_PX,
    share: WORK_SHARE,
  });

/* Runs in the page. */
function hues() {
  const colored = '.stage, .stage *, .swatch, .band-colors i, .mold-drawing *, .drop *, .count-row h4 i';
  const found = new Set();
  for (const node of document.querySelectorAll('body, body *')) {
    if (node.matches(colored)) continue;
    const style = getComputedStyle(node);
    for (const name of ['color', 'backgroundColor', 'borderTopColor', 'outlineColor', 'fill', 'stroke']) {
      const [r, g, b, a = 1] = (style[name].match(/^rgba?\((.*)\)$/)?.[1] ?? '0,0,0,0').split(',').map(Number);
      if (a > 0 && (r !== g || g !== b)) found.add(`${name} ${style[name]} of ${node.tagName} ${node.className}`);
    }
  }
  return [...found];
}

/** Colors of the page's own that have a hue; [] when it has none. */
export const huesOf = (page) => page.evaluate(hues);
