// Swaps that leave alone what did not change: focus, caret and what is being typed stay.

const FIELDS = "input, select, textarea";
const REACHED = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]";
const QUIET = 1000; // ms without single-key shortcuts after a field lost its focus to a swap

const snapshots = new WeakMap(); // request → what the fields of its form said as it left
const lastSent = new WeakMap(); // form → what it sent last
const underWay = new WeakMap(); // form → what it is sending
let answered = { said: new Map(), isRefused: false };
let focused = [];
let quietUntil = 0;

const isTicked = (field) => ["checkbox", "radio"].includes(field.type);
const saidBy = (field) => (isTicked(field) ? field.checked : field.value);

function beganWith(field) {
  if (isTicked(field)) return field.defaultChecked;
  if (field.tagName !== "SELECT") return field.defaultValue;
  return ([...field.options].find((option) => option.defaultSelected) || field.options[0])?.value;
}

/** What stands for the same thing before and after: by its id, else by what it is. */
function keyOf(node) {
  if (node.nodeType !== Node.ELEMENT_NODE) return node.nodeName;
  if (node.id) return `#${node.id}`;
  if (node.tagName === "SECTION") return `SECTION ${node.querySelector("h2, h3")?.textContent}`;
  if (node.tagName === "FORM") return `FORM ${node.getAttribute("action")}`;
  return node.tagName === "DIV" ? `DIV ${node.className}` : node.tagName;
}

function morph(old, fresh, added) {
  if (fresh.getAttribute("hx-trigger") === "load" && !old.hasAttribute("hx-trigger")) return loadAnew(old, fresh);
  if (old.matches(FIELDS)) return morphField(old, fresh, added);
  copyAttributes(old, fresh, ["open"]);
  return morphChildren(old, fresh, added);
}

/** A part that was loaded after the page is asked for again, and stands as it is until then. */
function loadAnew(old, fresh) {
  htmx.ajax("GET", fresh.getAttribute("hx-get"), { source: old, target: old, swap: "keep" });
}

function copyAttributes(old, fresh, except) {
  for (const { name } of [...old.attributes]) if (!fresh.hasAttribute(name) && !except.includes(name)) old.removeAttribute(name);
  for (const { name, value } of fresh.attributes) if (old.getAttribute(name) !== value && !except.includes(name)) old.setAttribute(name, value);
}

function morphChildren(old, fresh, added) {
  const children = [...fresh.childNodes];
  const keys = children.map(keyOf);
  let at = old.firstChild;
  children.forEach((child, index) => {
    while (at && !keys.includes(keyOf(at), index)) at = dropped(at);
    if (at && keyOf(at) === keys[index]) {
      if (at.nodeType === Node.ELEMENT_NODE) morph(at, child, added);
      else if (at.data !== child.data) at.data = child.data;
      at = at.nextSibling;
    } else {
      old.insertBefore(child, at);
      added.push(child);
    }
  });
  while (at) at = dropped(at);
}

function dropped(node) {
  const next = node.nextSibling;
  node.remove();
  return next;
}

/** A field takes what the answer says, unless something else was typed since it was asked. */
function morphField(old, fresh, added) {
  const said = saidBy(old);
  const asked = answered.said.has(old) ? answered.said.get(old) : beganWith(old);
  const isOwn = said !== asked || (answered.isRefused && answered.said.has(old));
  copyAttributes(old, fresh, []);
  if (old.tagName !== "INPUT") morphChildren(old, fresh, added);
  const wanted = isOwn ? said : saidBy(fresh);
  if (saidBy(old) !== wanted) old[isTicked(old) ? "checked" : "value"] = wanted;
}

/** Where the focus goes that a swap took away: to what stands for the same, else close by. */
function refocus() {
  const [own, ...around] = focused;
  if (!own || own.isConnected || document.activeElement !== document.body) return;
  const place = around.find((one) => one.isConnected) || document.body;
  const name = (one) => one.getAttribute("aria-label") || one.textContent.trim();
  const near = [...place.querySelectorAll(REACHED)].filter((one) => one.checkVisibility());
  const next = near.find((one) => keyOf(one) === keyOf(own) && name(one) === name(own)) || near[0];
  next?.focus({ preventScroll: true });
  if (own.matches(FIELDS) && !next?.matches(FIELDS)) quietUntil = performance.now() + QUIET;
}

/** A key that is still meant for a field that is gone is no shortcut; it says that more may follow. */
function hush(event) {
  if (performance.now() >= quietUntil || event.target.matches(FIELDS)) return;
  quietUntil = performance.now() + QUIET;
  if (event.key.length === 1) event.stopImmediatePropagation();
}

/** A form that sends each change as it is made, to the address that it is saved at. */
const isLive = (form) => form.matches("form[hx-post][hx-trigger^=change]") && form.getAttribute("hx-post") === form.getAttribute("action");

function said(form) {
  const data = new FormData(form);
  data.delete("csrfmiddlewaretoken");
  return new URLSearchParams(data).toString();
}

/** Of one change no second request: Enter changes the field and submits its form. */
function sendOnce(event) {
  const form = event.detail.elt;
  if (!isLive(form)) return;
  const isAsked = event.detail.triggeringEvent?.target === form;
  if (said(form) === (isAsked ? underWay : lastSent).get(form)) event.preventDefault();
}

/** A live form goes to its own address: htmx takes that of a button on which the focus lies, such as Delete. */
function aim(event) {
  const { elt } = event.detail;
  if (isLive(elt)) event.detail.path = elt.getAttribute("hx-post");
}

function leaves(event) {
  const { elt, xhr } = event.detail;
  const form = elt.closest("form");
  snapshots.set(xhr, new Map([...(form?.querySelectorAll(FIELDS) || [])].map((field) => [field, saidBy(field)])));
  if (!isLive(elt)) return;
  lastSent.set(elt, said(elt));
  underWay.set(elt, said(elt));
}

function arrives(event) {
  const { elt, successful } = event.detail;
  underWay.delete(elt);
  if (!successful) lastSent.delete(elt);
}

/** A live form is sent as its changes are; another of its buttons waits for what is under way. */
function submitOnce(event) {
  const form = event.target;
  if (!isLive(form)) return;
  if (!event.submitter?.hasAttribute("formaction")) {
    event.preventDefault();
    form.dispatchEvent(new Event("change", { bubbles: true }));
  } else if (underWay.has(form)) {
    event.preventDefault();
    document.addEventListener("htmx:afterSettle", () => form.requestSubmit(event.submitter), { once: true });
  }
}

function watch() {
  document.addEventListener("keydown", hush, true);
  document.addEventListener("submit", submitOnce, true);
  document.addEventListener("htmx:confirm", sendOnce);
  document.addEventListener("htmx:configRequest", aim);
  document.addEventListener("htmx:beforeRequest", leaves);
  document.addEventListener("htmx:afterRequest", arrives);
  document.addEventListener("htmx:beforeSwap", ({ detail: { xhr } }) => {
    answered = { said: snapshots.get(xhr) || new Map(), isRefused: xhr.status >= 400 };
    focused = [];
    for (let one = document.activeElement; one && one !== document.body; one = one.parentElement) focused.push(one);
  });
  document.addEventListener("htmx:afterSwap", refocus);
}

/** `hx-swap="keep"`: the answer is laid over what stands there, element by element. */
function offerKeeping() {
  htmx.defineExtension("keep", {
    isInlineSwap: (style) => style === "keep",
    handleSwap: (style, target, fragment) => {
      if (style !== "keep") return false;
      const [fresh, ...more] = fragment.children ?? [fragment];
      const added = [];
      if (fresh && !more.length && keyOf(fresh) === keyOf(target)) morph(target, fresh, added);
      else {
        added.push(...fragment.childNodes);
        target.replaceWith(...added);
      }
      return added;
    },
  });
}

if (window.htmx) {
  offerKeeping();
  watch();
}
