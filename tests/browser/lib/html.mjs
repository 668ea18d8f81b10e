// A page as a tree.

import * as parse5 from "parse5";

/** The tree of a page, with the places of its tags in the text. */
export const parse = (html) => parse5.parse(html, { sourceCodeLocationInfo: true });

/** All elements of a tree in document order; what a `template` holds included. */
export function elements(node, out = []) {
  if (node.tagName) out.push(node);
  for (const child of [...(node.childNodes ?? []), ...(node.content?.childNodes ?? [])]) elements(child, out);
  return out;
}

/** The attributes of an element by name. */
export const attributes = (element) => Object.fromEntries((element.attrs ?? []).map(({ name, value }) => [name, value]));

/** The text of a tree. */
export const textOf = (node) => (node.nodeName === "#text" ? node.value : (node.childNodes ?? []).map(textOf).join(""));
