// What the page's scripts give one another: a page that was opened by a double click may read nothing but scripts.

/** @type {import("../types.js").Lapstrake} */
export const scripts = /** @type {any} */ (window).lapstrake;

/**
 * Runs a script that gives a text.
 * @param {string} file
 * @returns {Promise<string>}
 */
export function fetchText(file) {
	return new Promise((resolve, reject) => {
		const script = document.createElement("script");
		let text = "";
		scripts.give = (given) => {
			text = given;
		};
		script.onload = () => {
			script.remove();
			resolve(text);
		};
		script.onerror = () => {
			script.remove();
			reject(new Error("cannot be read: is the folder whole?"));
		};
		script.src = file;
		document.head.append(script);
	});
}
