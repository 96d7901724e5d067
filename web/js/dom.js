/* SPDX-License-Identifier: MIT
 * Building the page. Text goes in as text only: there is no way here to put markup in, so nothing
 * that a server or a person typed can become an element, an address that runs, or a handler. */

const SVG = "http://www.w3.org/2000/svg";

function put(node, children) {
    for (const child of children) {
        if (child === null || child === undefined || child === false) {
            continue;
        }
        if (Array.isArray(child)) {
            put(node, child);
        } else if (child instanceof Node) {
            node.appendChild(child);
        } else {
            node.appendChild(document.createTextNode(String(child)));
        }
    }
    return node;
}

function set(node, props) {
    for (const name of Object.keys(props || {})) {
        const value = props[name];
        if (value === null || value === undefined || value === false) {
            continue;
        }
        if (name.startsWith("on")) {
            node.addEventListener(name.slice(2), value);
        } else if (name === "value" || name === "checked" || name === "selected") {
            node[name] = value;
        } else {
            node.setAttribute(
                name === "className" ? "class" : name,
                value === true ? "" : String(value)
            );
        }
    }
    return node;
}

/* el("p", {class: "quiet", onclick: fn}, "words", node, [more]): null, undefined and false are left out. */
export function el(tag, props, ...children) {
    return put(set(document.createElement(tag), props), children);
}

export function svg(tag, props, ...children) {
    const node = document.createElementNS(SVG, tag);
    for (const name of Object.keys(props || {})) {
        if (props[name] !== null && props[name] !== undefined) {
            node.setAttribute(name, String(props[name]));
        }
    }
    return put(node, children);
}

export function byId(id) {
    return document.getElementById(id);
}

export function clear(node) {
    while (node.firstChild) {
        node.removeChild(node.firstChild);
    }
    return node;
}

/* Replaces what `node` holds. */
export function fill(node, ...children) {
    return put(clear(node), children);
}

/* Says `words` to a screen reader without moving the focus. */
export function announce(words) {
    let region = byId("announce");
    if (!region) {
        region = el("div", {
            id: "announce",
            class: "only-read",
            role: "status",
            "aria-live": "polite"
        });
        document.body.appendChild(region);
    }
    region.textContent = "";
    window.setTimeout(() => {
        region.textContent = words;
    }, 60);
}

let made = 0;
export function freshId(stem) {
    made += 1;
    return stem + "-" + made;
}

/* Radio or tick boxes as big targets: {legend, name, type: "radio|checkbox", choices: [{value, text, hint?}],
 * picked: [values], row: bool, tight: bool (short words), onchange(values)}. The returned fieldset has .values(). */
export function choices(options) {
    const box = el(
        "fieldset",
        {
            class:
                "choices" +
                (options.row ? " choices-row" : "") +
                (options.tight ? " choices-tight" : "")
        },
        options.legend ? el("legend", null, options.legend) : null,
        options.hint ? el("span", { class: "hint" }, options.hint) : null
    );
    const name = options.name || freshId("choice");
    box.values = () =>
        Array.from(box.querySelectorAll("input:checked")).map((input) => input.value);
    for (const choice of options.choices) {
        const input = el("input", {
            type: options.type || "radio",
            name,
            value: choice.value,
            checked: (options.picked || []).indexOf(choice.value) >= 0,
            onchange: () => options.onchange && options.onchange(box.values())
        });
        box.appendChild(
            el(
                "label",
                { class: "choice" },
                input,
                el(
                    "span",
                    null,
                    choice.text,
                    choice.hint ? el("span", { class: "hint" }, choice.hint) : null
                )
            )
        );
    }
    return box;
}

export function banner(kind, ...children) {
    return el(
        "div",
        {
            class: "banner" + (kind ? " banner-" + kind : ""),
            role: kind === "wrong" ? "alert" : null
        },
        ...children
    );
}

/* Moves the focus to the page's new heading, so that a keyboard and a screen reader follow. */
export function focusOn(node) {
    if (node) {
        node.setAttribute("tabindex", "-1");
        node.focus({ preventScroll: true });
    }
}
