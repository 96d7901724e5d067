/* SPDX-License-Identifier: MIT
 * Closer, same or further: the server's rule (server/assess/next.c) for the moment between two tries.
 * Around six throws in ten should earn something; a step is one step, and only after five throws.
 * Distances in mm; `space` 0: not said; `hold`: something hurt, so never further. */

const TARGET = 0.6,
    DEAD_BAND = 0.15,
    THROWS_BEFORE_MOVING = 5;
export const SAME_STEP_MM = 250;

/* The nearest distance clearly beyond (1) or short of (-1) `here`; 0: none. */
export function neighbour(distances, here, way) {
    const found = distances.filter((d) => way * (d - here) > SAME_STEP_MM);
    return found.length ? (way > 0 ? Math.min(...found) : Math.max(...found)) : 0;
}

/* {kind: "closer" | "same" | "further" | "score" | "none", mm} */
export function nextStep({ distances, here, space, scored, throws, hold }) {
    if (!here || !distances.length || !throws) {
        return { kind: "none", mm: 0 };
    }
    const further = neighbour(distances, here, 1),
        closer = neighbour(distances, here, -1);
    const most = Math.max(0, ...distances.filter((d) => !space || d <= space));
    if (here > most + SAME_STEP_MM || (space && here > space)) {
        return { kind: most ? "closer" : "none", mm: most };
    }
    const share = scored / throws,
        enough = throws >= THROWS_BEFORE_MOVING;
    if (share > TARGET + DEAD_BAND) {
        if (!further) {
            return { kind: "score", mm: here };
        }
        if (enough && !hold && (!space || further <= space)) {
            return { kind: "further", mm: further };
        }
    } else if (enough && share < TARGET - DEAD_BAND && closer) {
        return { kind: "closer", mm: closer };
    }
    return { kind: "same", mm: here };
}
