/** Making elements, without a library. */

/** h("button", {class: "tile", onclick: f}, "words", node): null and false children are left out. */
export function h(tag, attrs = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attrs)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on") || name in PROPERTIES) node[name] = value;
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

const PROPERTIES = { value: 1, checked: 1, srcObject: 1, muted: 1 };

export const button = (words, onclick, attrs = {}) => h("button", { type: "button", onclick, ...attrs }, words);

export const link = (words, hash, attrs = {}) => h("a", { href: `#${hash}`, ...attrs }, words);

/** A labelled input; `hint` stands between label and input and is read with it. */
export function field(label, input, hint = "") {
  const id = `f${(field.count = (field.count || 0) + 1)}`;
  input.id = id;
  if (hint) input.setAttribute("aria-describedby", `${id}h`);
  return h("div", { class: "field" }, h("label", { for: id }, label), hint && h("p", { class: "hint", id: `${id}h` }, hint), input);
}

/** Buttons of which one is pressed; `options` are [value, words]. */
export function choice(label, options, value, onchoose) {
  const group = h("div", { class: "choice", role: "group", "aria-label": label });
  for (const [own, words] of options) {
    group.append(
      button(words, () => {
        for (const other of group.children) other.setAttribute("aria-pressed", "false");
        group.children[options.findIndex(([each]) => each === own)].setAttribute("aria-pressed", "true");
        onchoose(own);
      }, { "aria-pressed": String(own === value) }),
    );
  }
  return group;
}

/** Buttons of which several may be pressed; `chosen` is a Set that follows the taps. */
export function several(label, options, chosen, onchange = () => {}) {
  return h("div", { class: "choice", role: "group", "aria-label": label }, options.map(([own, words]) =>
    button(words, (event) => {
      if (!chosen.delete(own)) chosen.add(own);
      event.currentTarget.setAttribute("aria-pressed", String(chosen.has(own)));
      onchange();
    }, { "aria-pressed": String(chosen.has(own)) })));
}

/** One button that is pressed or not. */
export const toggle = (words, isOn, onchange) => {
  const chosen = new Set(isOn ? [true] : []);
  return several(words, [[true, words]], chosen, () => onchange(chosen.has(true)));
};

/** Tell a screen reader, and whoever looks at the foot of the page. */
export function say(words) {
  const line = document.getElementById("said");
  line.textContent = "";
  line.textContent = words;
}

/** Draw the screen anew, also while somebody is in the middle of something: what was asked is done. */
export const redraw = () => dispatchEvent(new Event("redraw"));
