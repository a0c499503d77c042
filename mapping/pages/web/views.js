// The views, in the order of their names at the top. One more is a line here and a module of its own; its style sheet
// is linked in index.html.

import { sounding } from "./sounding/sounding.js";
import { checked } from "./checked/checked.js";
import { takes } from "./takes/takes.js";

/**
 * @typedef {{show(): void, hide(): void}} Built what show and hide do to a view that was built
 * @typedef {{name: string, title: string, build(host: HTMLElement, link: import("./types.js").Link): Built}} View
 */

/** @type {View[]} */
export const views = [sounding, takes, checked];
