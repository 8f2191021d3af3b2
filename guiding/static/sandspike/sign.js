/* A field to sign in, with a finger, a pen or a mouse. Without it a name is typed. */
(() => {
  "use strict";

  const SCALE = 10000;      // a point counts 0 to SCALE along each side of the field
  const LEAST_STEP = 40;    // nearer than this to the last one a point adds nothing
  const MOST_POINTS = 1900; // the desk takes 2000

  const shape = (svg, name, values) => {
    const drawn = document.createElementNS(svg.namespaceURI, name);
    Object.entries(values).forEach(([key, value]) => drawn.setAttribute(key, value));
    return svg.appendChild(drawn);
  };

  document.querySelectorAll("[data-sign-pad]").forEach((pad) => {
    const svg = pad.querySelector("svg");
    const field = pad.querySelector("input[name=drawn]");
    const told = pad.querySelector("[data-told]");
    const { width, height } = svg.viewBox.baseVal;
    let strokes = [];
    let lines = [];
    let current = null;

    const place = (event) => {
      const box = svg.getBoundingClientRect();
      const along = (value, from, length) =>
        Math.round(Math.min(Math.max((value - from) / length, 0), 1) * SCALE);
      return [along(event.clientX, box.left, box.width), along(event.clientY, box.top, box.height)];
    };
    const path = (stroke) => stroke.map(([x, y]) =>
      `${(x / SCALE * width).toFixed(1)},${(y / SCALE * height).toFixed(1)}`).join(" ");
    const draw = (stroke) => lines.push(shape(svg, "polyline", {
      points: path(stroke), fill: "none", stroke: "currentColor",
      "stroke-width": 4, "stroke-linecap": "round", "stroke-linejoin": "round",
    }));
    const thin = () => {
      while (strokes.reduce((sum, stroke) => sum + stroke.length, 0) > MOST_POINTS) {
        strokes = strokes.map((stroke) =>
          stroke.filter((_, at) => at % 2 === 0 || at === stroke.length - 1));
      }
    };
    const keep = () => {
      thin();
      field.value = strokes.length ? JSON.stringify(strokes) : "";
      told.textContent = strokes.length ? pad.dataset.drawn : pad.dataset.cleared;
    };
    const add = (event) => {
      const [x, y] = place(event);
      const [lastX, lastY] = current.at(-1) ?? [-SCALE, -SCALE];
      if (Math.hypot(x - lastX, y - lastY) >= LEAST_STEP) current.push([x, y]);
    };

    svg.style.touchAction = "none";
    svg.style.cursor = "crosshair";
    pad.hidden = false;
    svg.addEventListener("pointerdown", (event) => {
      if (current || event.button > 0) return;
      event.preventDefault();
      svg.setPointerCapture(event.pointerId);
      current = [];
      strokes.push(current);
      add(event);
      draw(current);
    });
    svg.addEventListener("pointermove", (event) => {
      if (!current || !svg.hasPointerCapture(event.pointerId)) return;
      const between = event.getCoalescedEvents?.() ?? [];
      (between.length ? between : [event]).forEach(add);
      lines.at(-1).setAttribute("points", path(current));
    });
    const end = (event) => {
      if (!current) return;
      if (event.type === "pointerup") add(event);
      lines.at(-1).setAttribute("points", path(current));
      current = null;
      keep();
    };
    svg.addEventListener("pointerup", end);
    svg.addEventListener("pointercancel", end);

    pad.querySelector("[data-undo]").addEventListener("click", () => {
      strokes.pop();
      lines.pop()?.remove();
      keep();
    });
    pad.querySelector("[data-clear]").addEventListener("click", () => {
      lines.forEach((line) => line.remove());
      strokes = [];
      lines = [];
      keep();
    });

    // After a refusal the drawing is still there.
    try {
      strokes = JSON.parse(field.value || "[]");
      strokes.forEach(draw);
    } catch (broken) {
      strokes = [];
      field.value = "";
    }
  });
})();
