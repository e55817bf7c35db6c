// What a page's layout may not do: let something leave the page, be cut, be covered or lie over something else.

// A shop screen, two tablets, a large screen.
export const SIZES = [[1280, 800], [1024, 768], [820, 1180], [1920, 1080]];

// What is wrong with the layout, in words.
export const wrong = (page) => page.evaluate(() => {
  const found = [];
  const page = document.documentElement;
  if (page.scrollWidth > innerWidth) found.push(`the page is ${page.scrollWidth} px wide`);
  if (page.scrollHeight > innerHeight) found.push(`the page is ${page.scrollHeight} px high`);
  const named = (node) => `${node.tagName.toLowerCase()}.${node.className} "${node.textContent.trim().slice(0, 30)}"`;
  const shown = [...document.querySelectorAll("#shop button, #shop select, #shop input, #shop .box, #shop .task")].filter((node) => node.offsetParent !== null);
  for (const node of shown) {
    const box = node.getBoundingClientRect();
    if (box.left < 0 || box.top < 0 || box.right > innerWidth + 0.5 || box.bottom > innerHeight + 0.5) found.push(`${named(node)} leaves the page`);
    if (node.matches("button")) {
      // The words themselves, wherever their boxes end.
      const range = document.createRange();
      range.selectNodeContents(node);
      const words = range.getBoundingClientRect();
      if (words.left < box.left - 0.5 || words.right > box.right + 0.5 || words.top < box.top - 0.5 || words.bottom > box.bottom + 0.5) found.push(`${named(node)} is cut`);
    }
    if (node.matches("button, select, input")) {
      const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
      // A card that says what was found may lie over the machine's picture until it is closed, and over no control of the deck.
      const under = top?.closest(".found, dialog") && !node.closest("#deck");
      if (!under && !node.contains(top) && !top?.contains(node)) found.push(`${named(node)} is covered by ${top ? named(top) : "nothing"}`);
      if (!node.closest(".ribbon-head, .heading") && box.height < 26) found.push(`${named(node)} is only ${box.height} px high`);
    }
  }
  const stop = document.querySelector("#emergency").getBoundingClientRect();
  if (Math.min(stop.width, stop.height) < 90) found.push(`the emergency stop is only ${stop.width} × ${stop.height} px`);
  return found;
});

// Words that are cut short, and words that lie over each other. What scrolls may be longer than its box; what is for readers of the page
// only has no box; a card or a dialogue lies over what is behind it.
export const unread = (page, part = "#shop") => page.evaluate((part) => {
  const whole = document.querySelector(part);
  const found = [];
  const named = (node) => `${node.tagName.toLowerCase()}.${node.className.baseVal ?? node.className} "${node.textContent.trim().slice(0, 30)}"`;
  const pen = document.createElement("canvas").getContext("2d");
  const visible = (node) => node.checkVisibility({ visibilityProperty: true }) && !node.closest(".unseen, .lamp-state, .task-text, .alarm-list, .news-list, .skips, .now[hidden]");
  const wide = (text, style) => {
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return pen.measureText(text).width;
  };
  for (const field of [...whole.querySelectorAll("select, input:not([type=radio], [type=checkbox])")].filter(visible)) {
    const style = getComputedStyle(field);
    // What is chosen is told beside it.
    if (field.matches(".pick select")) continue;
    // A list keeps room for its arrow.
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - (field.tagName === "SELECT" ? 16 : 0);
    const text = field.tagName === "SELECT" ? field.selectedOptions[0]?.text ?? "" : field.value || field.placeholder;
    if (wide(text, style) > room + 1) found.push(`${named(field)}: "${text}" is cut, ${Math.ceil(wide(text, style))} px in ${Math.floor(room)}`);
  }
  // What a node lies on that moves over the page.
  const above = (node) => {
    for (let on = node; on; on = on.parentElement) {
      if (on.matches(".found, .answer") || /fixed|sticky/.test(getComputedStyle(on).position)) return on;
    }
    return null;
  };
  const leaves = [];
  const walk = document.createTreeWalker(whole, NodeFilter.SHOW_TEXT);
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    const node = text.parentElement;
    if (!text.data.trim() || !visible(node) || node.closest("select, option, title, style") || getComputedStyle(node).clipPath !== "none" || getComputedStyle(node.parentElement).clipPath !== "none") continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    const box = range.getBoundingClientRect();
    if (!box.width) continue;
    const card = node.closest("#shop .box, #shop .group")?.getBoundingClientRect();
    if (card && box.bottom > card.bottom + 1 && !node.closest(".answer, .alarm-list, .news-list")) found.push(`${named(node)} leaves its box`);
    let away = false;
    for (let around = node; around && around !== whole; around = around.parentElement) {
      const style = getComputedStyle(around);
      if (style.overflowX === "visible" || around instanceof SVGElement) continue;
      const edge = around.getBoundingClientRect();
      if (/auto|scroll/.test(style.overflowX + style.overflowY)) {
        away = box.bottom > edge.bottom || box.top < edge.top || box.right > edge.right || box.left < edge.left;
        break;
      }
      if (box.right > edge.right + 1 || box.left < edge.left - 1 || box.bottom > edge.bottom + 2) found.push(`${named(node)} is cut`);
      break;
    }
    // Line by line; what is scrolled away lies on nothing.
    if (!away) for (const line of range.getClientRects()) leaves.push([node, line]);
  }
  leaves.forEach(([node, a], index) => {
    for (const [other, b] of leaves.slice(index + 1)) {
      if (node === other || node.contains(other) || other.contains(node) || above(node) !== above(other)) continue;
      const over = Math.min(Math.min(a.right, b.right) - Math.max(a.left, b.left), Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top));
      if (over > 3) found.push(`${named(node)} and ${named(other)} lie over each other by ${over.toFixed(1)} px`);
    }
  });
  return [...new Set(found)];
}, part);
