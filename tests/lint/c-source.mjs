/* SPDX-License-Identifier: MIT
 * Reads the C of server/ and include/ well enough to follow a string through it: functions with their
 * parameters, structs with their members, calls. No compiler: it knows this repository's habits (one
 * declaration a line, no function-like macro that hides a call), and says "cannot follow" where a value
 * takes a way that it does not know, instead of leaving it out. Nothing is printed here. */
import { readFileSync, readdirSync } from "node:fs";

const TOKEN = /"(?:[^"\\\n]|\\.)*"|'(?:[^'\\]|\\.)*'|[A-Za-z_]\w*|\d[\w.]*|->|\+\+|--|<<|>>|[-+*/%&|^<>=!]=|&&|\|\||\S/g;
const OPEN = { "(": ")", "[": "]", "{": "}" };
const isName = (t) => t !== undefined && /^[A-Za-z_]\w*$/.test(t);
const isText = (t) => t !== undefined && t[0] === '"';

function under(dir) {
    return readdirSync(dir, { withFileTypes: true }).flatMap((e) =>
        e.isDirectory() ? under(dir + "/" + e.name) : /\.[ch]$/.test(e.name) ? [dir + "/" + e.name] : []
    );
}

/* The tokens without comments and preprocessor lines; line[i] is the line of the i-th. */
function tokens(text) {
    const bare = text
        .replace(/"(?:[^"\\\n]|\\.)*"|\/\*[\s\S]*?\*\//g, (m) => (m[0] === '"' ? m : m.replace(/[^\n]/g, " ")))
        .replace(/^[ \t]*#(?:.*\\\n)*.*/gm, (m) => m.replace(/[^\n]/g, " "));
    const list = [];
    const line = [];
    let at = 0;
    let n = 1;
    for (const m of bare.matchAll(TOKEN)) {
        for (; at < m.index; at += 1) {
            n += bare[at] === "\n" ? 1 : 0;
        }
        list.push(m[0]);
        line.push(n);
    }
    return { list, line };
}

/* The index of what closes the bracket at i. */
function closing(list, i) {
    let depth = 0;
    for (let k = i; k < list.length; k += 1) {
        depth += OPEN[list[k]] ? 1 : /^[)\]}]$/.test(list[k]) ? -1 : 0;
        if (depth === 0) {
            return k;
        }
    }
    return list.length;
}

/* The parts of list between commas outside brackets. */
export function split(list) {
    const parts = [];
    let from = 0;
    for (let k = 0; k <= list.length; k += 1) {
        if (k === list.length || list[k] === ",") {
            parts.push(list.slice(from, k));
            from = k + 1;
        } else if (OPEN[list[k]]) {
            k = closing(list, k);
        }
    }
    return parts.filter((p) => p.length);
}

/* From i to the end of the expression: a comma, semicolon or closing bracket outside brackets. */
function expression(list, i) {
    let k = i;
    while (k < list.length && !/^[,;)\]}]$/.test(list[k])) {
        k = OPEN[list[k]] ? closing(list, k) + 1 : k + 1;
    }
    return list.slice(i, k);
}

/* "const struct x *a" -> {name: "a", type: "x"}; type is null for what is no struct. */
function declared(part) {
    const end = part.indexOf("[") < 0 ? part.length : part.indexOf("[");
    const at = part.indexOf("struct");
    return { name: part[end - 1], type: at >= 0 ? part[at + 1] : null };
}

function functionsOf(file, { list, line }) {
    const found = [];
    let start = 0;
    for (let i = 0; i < list.length; i += 1) {
        if (list[i] === ";" || list[i] === "}") {
            start = i + 1;
        } else if (list[i] === "(" && isName(list[i - 1]) && list[closing(list, i) + 1] === "{") {
            const close = closing(list, i);
            const end = closing(list, close + 1);
            found.push({ file, name: list[i - 1], line: line[i], isStatic: list.slice(start, i).includes("static"),
                params: split(list.slice(i + 1, close)).map(declared), body: list.slice(close + 2, end), lines: line.slice(close + 2, end) });
            i = end;
            start = end + 1;
        } else if (OPEN[list[i]]) {
            i = closing(list, i);
        }
    }
    return found;
}

/* struct NAME { members } anywhere: "a, *b" are two members of one type. */
function structsOf(file, { list }, structs) {
    for (let i = 0; i + 2 < list.length; i += 1) {
        if (list[i] === "struct" && isName(list[i + 1]) && list[i + 2] === "{") {
            const members = [];
            for (let k = i + 3, end = closing(list, i + 2), from = k; k < end; k += 1) {
                if (list[k] === ";") {
                    const parts = split(list.slice(from, k));
                    const type = declared(parts[0]).type;
                    parts.forEach((p) => members.push({ name: declared(p).name, type }));
                    from = k + 1;
                } else if (OPEN[list[k]]) {
                    k = closing(list, k);
                }
            }
            structs.set(list[i + 1], (structs.get(list[i + 1]) || new Map()).set(file, members));
        }
    }
}

export function readTree() {
    const files = new Map(["server", "include"].flatMap(under).map((f) => [f, tokens(readFileSync(f, "utf8"))]));
    const structs = new Map();
    const functions = [];
    const byName = new Map();
    for (const [file, t] of files) {
        structsOf(file, t, structs);
        functions.push(...functionsOf(file, t));
    }
    functions.forEach((f) => byName.set(f.name, (byName.get(f.name) || []).concat(f)));
    /* The functions that a name may mean in this file. */
    const named = (name, file) => {
        const all = byName.get(name) || [];
        const own = all.filter((f) => f.file === file);
        return own.length ? own : all.filter((f) => !f.isStatic);
    };
    /* The members of the struct that a name means in this file: its own, or a header's. */
    const members = (type, file) => {
        const all = structs.get(type) || new Map();
        return all.get(file) || [...all].filter(([f]) => f.endsWith(".h")).map(([, m]) => m)[0] || [];
    };
    return { files, functions, named, members };
}

/* Every call in fn: {name, at, args}. */
export function callsIn(fn) {
    if (!fn.calls) {
        fn.calls = [];
        fn.body.forEach((t, i) => {
            if (isName(t) && fn.body[i + 1] === "(" && !/^(if|for|while|switch|return|sizeof)$/.test(t)) {
                fn.calls.push({ name: t, at: i, args: split(fn.body.slice(i + 2, closing(fn.body, i + 1))) });
            }
        });
    }
    return fn.calls;
}

/* What `start` (functions) can come to, by any mention of a function's name. */
export function reachable(tree, start) {
    const seen = new Set(start);
    for (const fn of seen) {
        fn.body.filter(isName).forEach((t) => tree.named(t, fn.file).forEach((f) => seen.add(f)));
    }
    return seen;
}

/* Follows values backwards to the string literals they can be. say(text, fn, line) for each literal;
 * lost(what, fn, line) where the way is not known. */
export class Tracer {
    constructor(tree, say, lost) {
        Object.assign(this, { tree, say, lost, done: new Set() });
    }

    once(...key) {
        const k = key.map((x) => (x.name ? x.file + ":" + x.name + ":" + x.line : String(x))).join(" ");
        return this.done.has(k) ? false : Boolean(this.done.add(k));
    }

    /* An expression of fn. */
    value(list, fn, line) {
        let e = list;
        while (e[0] === "(" && closing(e, 0) === e.length - 1) {
            e = e.slice(1, -1);
        }
        const ask = this.topLevel(e, "?", 0);
        if (ask >= 0) {
            const other = this.topLevel(e, ":", ask + 1);
            this.value(e.slice(ask + 1, other), fn, line);
            this.value(e.slice(other + 1), fn, line);
        } else if (e.every(isText)) {
            this.say(e.map((t) => JSON.parse(t)).join(""), fn, line);
        } else if (e.length === 1 && e[0] !== "NULL") {
            this.variable(e[0], fn, line);
        } else if (isName(e[0]) && e[1] === "(" && closing(e, 1) === e.length - 1) {
            this.returned(e[0], fn, line);
        } else if (isName(e[0]) && e[1] === "[" && closing(e, 1) === e.length - 1) {
            this.array(e[0], fn, line);
        } else if (isName(e[0]) && /^(\.|->)$/.test(e[e.length - 2])) {
            this.memberOf(e, fn, line);
        } else if (e.length !== 1) {
            this.lost(e.join(" "), fn, line);
        }
    }

    /* Outside brackets and inner conditions. */
    topLevel(e, what, from) {
        let asked = 0;
        for (let k = from; k < e.length; k += 1) {
            if (OPEN[e[k]]) {
                k = closing(e, k);
            } else if (e[k] === what && asked === 0) {
                return k;
            } else {
                asked += e[k] === "?" ? 1 : e[k] === ":" ? -1 : 0;
            }
        }
        return -1;
    }

    /* A local variable or a parameter: what is put into it, and what callers give. */
    variable(name, fn, line) {
        if (!this.once("variable", name, fn)) {
            return;
        }
        const index = fn.params.findIndex((p) => p.name === name);
        let ways = 0;
        if (index >= 0) {
            ways += this.argument(fn, index);
        }
        fn.body.forEach((t, i) => {
            const before = fn.body[i - 1];
            if (t === name && fn.body[i + 1] === "=" && before !== "." && before !== "->") {
                ways += 1;
                this.value(expression(fn.body, i + 2), fn, fn.lines[i]);
            }
        });
        for (const call of callsIn(fn)) {
            call.args.forEach((arg, k) => {
                if (arg.length === 2 && arg[0] === "&" && arg[1] === name) {
                    this.tree.named(call.name, fn.file).forEach((f) => {
                        ways += 1;
                        this.filled(f, k);
                    });
                }
            });
        }
        if (ways === 0) {
            this.lost(name, fn, line);
        }
    }

    /* What callers give as this argument; how many calls there are. */
    argument(fn, index) {
        let n = 0;
        for (const other of this.tree.functions) {
            for (const call of callsIn(other)) {
                if (call.name === fn.name && this.tree.named(call.name, other.file).includes(fn)) {
                    n += 1;
                    this.value(call.args[index], other, other.lines[call.at]);
                }
            }
        }
        return n;
    }

    /* What fn puts behind a pointer that it is given. */
    filled(fn, index) {
        if (!fn.params[index] || !this.once("filled", index, fn)) {
            return;
        }
        const name = fn.params[index].name;
        let ways = 0;
        fn.body.forEach((t, i) => {
            if (t === name && fn.body[i - 1] === "*" && fn.body[i + 1] === "=") {
                ways += 1;
                this.value(expression(fn.body, i + 2), fn, fn.lines[i]);
            }
        });
        for (const call of callsIn(fn)) {
            call.args.forEach((arg, k) => {
                if (arg.length === 1 && arg[0] === name) {
                    this.tree.named(call.name, fn.file).forEach((f) => {
                        ways += 1;
                        this.filled(f, k);
                    });
                }
            });
        }
        if (ways === 0) {
            this.lost("*" + name, fn, fn.line);
        }
    }

    returned(name, fn, line) {
        const found = this.tree.named(name, fn.file);
        if (found.length === 0) {
            this.lost(name + "()", fn, line);
        }
        for (const f of found.filter((g) => this.once("returned", g))) {
            f.body.forEach((t, i) => {
                if (t === "return") {
                    this.value(expression(f.body, i + 1), f, f.lines[i]);
                }
            });
        }
    }

    /* A table of literals in the function or its file. */
    array(name, fn, line) {
        for (const list of [fn.body, this.tree.files.get(fn.file).list]) {
            const at = list.findIndex((t, i) => t === name && list[i + 1] === "[" && list[closing(list, i + 1) + 1] === "=");
            if (at >= 0) {
                const from = closing(list, at + 1) + 2;
                list.slice(from, closing(list, from)).filter(isText).forEach((t) => this.say(JSON.parse(t), fn, line));
                return;
            }
        }
        this.lost(name + "[]", fn, line);
    }

    /* The struct that a name of fn is of, or null. */
    typeIn(fn, name) {
        const param = fn.params.find((p) => p.name === name);
        if (param) {
            return param.type;
        }
        for (let i = 0; i < fn.body.length; i += 1) {
            if (fn.body[i] === "struct" && isName(fn.body[i + 1])) {
                for (let k = i + 2; k < fn.body.length && fn.body[k] !== ";"; k += 1) {
                    const before = fn.body[k - 1];
                    if (fn.body[k] === name && before !== "." && before !== "->") {
                        return fn.body[i + 1];
                    }
                    k = OPEN[fn.body[k]] ? closing(fn.body, k) : k;
                }
            }
        }
        return null;
    }

    /* a->b[i].c: the struct that holds c, or null. */
    holder(e, fn) {
        let type = this.typeIn(fn, e[0]);
        for (let k = 1; type && k < e.length - 2; k += 1) {
            if (e[k] === "[") {
                k = closing(e, k);
            } else if (isName(e[k])) {
                const member = this.tree.members(type, fn.file).find((m) => m.name === e[k]);
                type = member ? member.type : null;
            }
        }
        return type;
    }

    memberOf(e, fn, line) {
        const type = this.holder(e, fn);
        if (type) {
            const ways = this.member(type, e[e.length - 1], fn.file);
            if (ways === 0) {
                this.lost(e.join(""), fn, line);
            }
        } else {
            this.lost(e.join(""), fn, line);
        }
    }

    /* Everything that is put into this member of this struct, anywhere: in how many places, -1 when asked before. */
    member(type, name, file) {
        if (!this.once("member", type, name)) {
            return -1;
        }
        let ways = 0;
        const members = this.tree.members(type, file);
        const place = members.findIndex((m) => m.name === name);
        if (place < 0) {
            throw new Error(`struct ${type} has no member ${name}`);
        }
        for (const fn of this.tree.functions.filter((f) => this.tree.members(type, f.file) === members)) {
            fn.body.forEach((t, i) => {
                if (t === name && fn.body[i + 1] === "=" && /^(\.|->)$/.test(fn.body[i - 1])) {
                    ways += this.assigned(type, fn, i);
                } else if (t === "{" && this.literalOf(type, fn.body, i)) {
                    ways += this.initialised(split(fn.body.slice(i + 1, closing(fn.body, i))), { name, place, fn, line: fn.lines[i] });
                }
            });
        }
        return ways;
    }

    /* x->member = ... : the chain before it, read backwards. */
    assigned(type, fn, i) {
        let from = i - 1;
        while (/^(\.|->|\])$/.test(fn.body[from]) || (isName(fn.body[from]) && /^(\.|->|\[)$/.test(fn.body[from + 1]))) {
            if (fn.body[from] === "]") {
                for (let depth = 0; ; from -= 1) {
                    depth += fn.body[from] === "]" ? 1 : fn.body[from] === "[" ? -1 : 0;
                    if (depth === 0) {
                        break;
                    }
                }
            }
            from -= 1;
        }
        const chain = fn.body.slice(from + 1, i + 1);
        const holder = chain.length > 2 ? this.holder(chain, fn) : type;
        if (holder === null) {
            this.lost(chain.join(""), fn, fn.lines[i]);
        } else if (chain.length > 2 && holder === type) {
            this.value(expression(fn.body, i + 2), fn, fn.lines[i]);
            return 1;
        }
        return 0;
    }

    /* Is the brace at i a value of struct `type`: "(struct x){" or "struct x name = {"? */
    literalOf(type, list, i) {
        return (list[i - 1] === ")" && list[i - 2] === type && list[i - 3] === "struct") ||
            (list[i - 1] === "=" && list[i - 3] === type && list[i - 4] === "struct");
    }

    initialised(parts, { name, place, fn, line }) {
        const own = parts.find((p) => p[0] === "." && p[1] === name);
        if (own) {
            this.value(own.slice(3), fn, line);
            return 1;
        }
        if (parts.length > place && parts[0][0] !== ".") {
            this.value(parts[place], fn, line);
            return 1;
        }
        return 0;
    }
}
