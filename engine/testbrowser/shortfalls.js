// Lines that say what the open page falls short of; see shortfalls.go.
(() => {
  "use strict";
  const lines = [], said = new Set();
  const say = line => { if (!said.has(line)) { said.add(line); lines.push(line); } };
  const about = element => {
    const words = (element.getAttribute("aria-label") || element.textContent).trim().replace(/\s+/g, " ").slice(0, 40);
    return "<" + element.tagName.toLowerCase() + "> " + JSON.stringify(words);
  };

  // A colour as red, green, blue from 0 to 255 and alpha from 0 to 1, whatever way of writing it.
  const canvas = document.createElement("canvas").getContext("2d", {willReadFrequently: true});
  const parsed = new Map();
  const colour = css => {
    if (!parsed.has(css)) {
      canvas.clearRect(0, 0, 1, 1);
      canvas.fillStyle = css;
      canvas.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
      parsed.set(css, [r, g, b, a / 255]);
    }
    return parsed.get(css);
  };
  const over = (top, below) => [0, 1, 2].map(i => top[i] * top[3] + below[i] * (1 - top[3])).concat(1);
  const canvasColour = colour(matchMedia("(prefers-color-scheme: dark)").matches ? "#121212" : "#ffffff");
  const behind = element => {
    const layers = [];
    for (let each = element; each; each = each.parentElement) {
      const layer = colour(getComputedStyle(each).backgroundColor);
      if (layer[3] > 0) { layers.push(layer); }
      if (layer[3] === 1) { break; }
    }
    return layers.reverse().reduce((below, top) => over(top, below), canvasColour);
  };
  const opacity = element => {
    let product = 1;
    for (let each = element; each; each = each.parentElement) { product *= Number(getComputedStyle(each).opacity); }
    return product;
  };
  const luminance = ([r, g, b]) => {
    const linear = [r, g, b].map(v => v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  };
  const ratio = (a, b) => {
    const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  const shown = element => element.checkVisibility({visibilityProperty: true, opacityProperty: true}) &&
    element.getBoundingClientRect().width > 1;

  // 1.4.3: 4.5 to 1, or 3 to 1 from 24 px on, or 18.66 px of bold type.
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !shown(element)) { continue; }
    if (element.closest("script, style, title, [disabled]")) { continue; }
    const style = getComputedStyle(element), px = parseFloat(style.fontSize);
    const ink = colour(element instanceof SVGElement ? style.fill : style.color).slice(), paper = behind(element);
    ink[3] *= opacity(element);
    const large = px >= 24 || px >= 18.66 && Number(style.fontWeight) >= 700;
    const has = ratio(over(ink, paper), paper), needs = large ? 3 : 4.5;
    if (has < needs) { say("1.4.3: contrast " + has.toFixed(2) + " of " + needs + ": " + about(element)); }
  }

  const controls = document.querySelectorAll(
    "a[href], button, input, select, textarea, summary, [role=button], [tabindex='0']");
  for (const control of controls) {
    if (!shown(control)) { continue; }
    const style = getComputedStyle(control), paper = behind(control.parentElement || control);
    const edged = control.matches("button, select, textarea, input:not([type=range], [type=checkbox], [type=radio])");
    if (edged && !control.disabled &&
        parseFloat(style.borderTopWidth) > 0 && style.borderTopStyle !== "none") {
      const best = Math.max(ratio(over(colour(style.borderTopColor), paper), paper), ratio(behind(control), paper));
      if (best < 3) { say("1.4.11: contrast " + best.toFixed(2) + " of 3 around " + about(control)); }
    }
    // 2.5.8: 24 by 24 px, but for links in running text, and for what has room around it.
    const box = control.getBoundingClientRect(), inText = style.display === "inline" && control.matches("a");
    const crowded = [...controls].some(other => {
      if (other === control || !shown(other) || other.contains(control) || control.contains(other)) { return false; }
      const o = other.getBoundingClientRect(), x = box.x + box.width / 2, y = box.y + box.height / 2;
      const dx = Math.max(o.left - x, 0, x - o.right), dy = Math.max(o.top - y, 0, y - o.bottom);
      return Math.hypot(dx, dy) < 12;
    });
    if (!inText && crowded && (box.width < 24 || box.height < 24)) {
      say("2.5.8: " + box.width.toFixed(0) + " by " + box.height.toFixed(0) + " px, with another beside it: " +
        about(control));
    }
  }

  const root = document.documentElement;
  const wide = Math.max(root.scrollWidth, document.body.scrollWidth) - root.clientWidth;
  if (wide > 0) { say("1.4.10: the page is " + wide + " px wider than the window of " + root.clientWidth + " px"); }
  if (!document.title.trim()) { say("2.4.2: the page has no title"); }
  if (!root.lang) { say("3.1.1: the page does not say its language"); }
  let level = 0;
  for (const heading of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
    const own = Number(heading.tagName[1]);
    if (own > level + 1) { say("headings: level " + own + " follows " + level + ": " + about(heading)); }
    level = own;
  }
  return lines;
})()
