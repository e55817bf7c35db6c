// Contrast where axe-core cannot judge it: in pictures, and where things lie over each other. Judged by the pixels: the commonest colour
// behind words is their ground.

// Least contrast of words, and of large ones: 24 px, or 18.66 px bold (WCAG 2.2, success criterion 1.4.3 and its definition of large).
const LEAST = 4.5;
const LEAST_LARGE = 3;

// What is too weak of the elements that are named, and how many were judged: words in view that nothing else covers.
export async function judge(page, selectors) {
  const words = await page.evaluate((names) => names.flatMap((name) => {
    const node = document.querySelector(name);
    if (!node?.checkVisibility({ visibilityProperty: true, opacityProperty: true })) return [];
    const style = getComputedStyle(node);
    const range = document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    const inside = box.width >= 4 && box.height >= 4 && box.left >= 0 && box.top >= 0 && box.right <= innerWidth && box.bottom <= innerHeight;
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    if (!inside || !top || !(node.contains(top) || top.contains(node))) return [];
    const size = parseFloat(style.fontSize);
    return [{ name, text: node.textContent.trim().slice(0, 30), box: [box.left, box.top, box.width, box.height].map(Math.round), colour: node instanceof SVGElement ? style.fill : style.color, large: size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) }];
  }), selectors);
  if (!words.length) return { weak: [], judged: 0 };
  const shot = (await page.screenshot()).toString("base64");
  // Another page reads the picture: ours take none but their own.
  const context = await page.context().browser().newContext();
  const reader = await context.newPage();
  const ratios = await reader.evaluate(async ([data, all]) => {
    const picture = new Image();
    picture.src = `data:image/png;base64,${data}`;
    await picture.decode();
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    pen.drawImage(picture, 0, 0);
    const linear = (part) => (part <= 0.04045 * 255 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4);
    // Relative luminance of WCAG 2.2.
    const luminance = ([red, green, blue]) => 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
    return all.map(({ box, colour }) => {
      const pixels = pen.getImageData(...box).data;
      const counts = new Map();
      for (let at = 0; at < pixels.length; at += 4) {
        const key = `${pixels[at]},${pixels[at + 1]},${pixels[at + 2]}`;
        counts.set(key, (counts.get(key) ?? 0) + 1);
      }
      // A sign may fill its box: what has its own colour is not its ground.
      const own = colour.match(/[\d.]+/g).slice(0, 3).map(Number);
      const grounds = [...counts].map(([key, count]) => [key.split(",").map(Number), count]).filter(([ground]) => ground.some((part, index) => Math.abs(part - own[index]) > 3));
      const [[ground] = [own]] = grounds.sort((a, b) => b[1] - a[1]);
      const [one, other] = [luminance(own), luminance(ground)];
      return (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    });
  }, [shot, words]);
  await context.close();
  const weak = words.flatMap(({ name, text, large }, index) => (ratios[index] < (large ? LEAST_LARGE : LEAST) ? [`contrast ${ratios[index].toFixed(2)}: ${name} "${text}"`] : []));
  return { weak, judged: words.length };
}
