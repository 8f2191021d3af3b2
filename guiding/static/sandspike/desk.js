/* Small comforts; every page works without them. */
(() => {
  "use strict";

  // A form is sent once. The lock opens again when the page is shown anew, or after ten seconds:
  // a download leaves the page standing.
  const unlock = (form) => {
    delete form.dataset.sent;
    form.querySelectorAll("[data-locked]").forEach((button) => {
      button.removeAttribute("aria-disabled");
      delete button.dataset.locked;
    });
  };
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method === "get") return;
    if (form.dataset.sent) return event.preventDefault();
    form.dataset.sent = "yes";
    form.querySelectorAll("[type=submit], button:not([type])").forEach((button) => {
      button.setAttribute("aria-disabled", "true");
      button.dataset.locked = "yes";
    });
    setTimeout(unlock, 10000, form);
  });
  addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach(unlock));

  // What was typed into <form data-keep> outlives a reload, a closed tab bar or a lost connection;
  // it is kept in this tab only, and dropped once another page of the desk has been reached.
  const slot = (form) => `typed ${location.pathname} ${form.id}`;
  const kept = (form) => [...form.elements].filter((field) =>
    field.name && field.matches("textarea, select, input:not([type=password], [type=hidden], [type=file], [type=submit])"));
  try {
    Object.keys(sessionStorage).filter((key) => key.startsWith("typed ")).forEach((key) => {
      const draft = JSON.parse(sessionStorage[key]);
      if (draft.sent && !key.startsWith(`typed ${location.pathname} `)) delete sessionStorage[key];
    });
    document.querySelectorAll("form[data-keep]").forEach((form) => {
      const draft = JSON.parse(sessionStorage[slot(form)] || "null");
      if (draft && !form.querySelector(".problems")) kept(form).forEach((field, place) => {
        const was = draft.values[place];
        if (!was || was[0] !== field.name) return;
        if (/^(checkbox|radio)$/.test(field.type)) field.checked = was[1];
        else field.value = was[1];
      });
      const keep = (sent) => {
        sessionStorage[slot(form)] = JSON.stringify({ sent, values: kept(form).map((field) =>
          [field.name, /^(checkbox|radio)$/.test(field.type) ? field.checked : field.value]) });
      };
      form.addEventListener("input", () => keep(false));
      form.addEventListener("submit", () => keep(true));
    });
  } catch (refused) { /* storage may be switched off: nothing is kept, nothing breaks */ }

  // After a refusal the list of problems is where reading goes on.
  document.querySelector(".problems")?.focus();

  // Now, as a hairline through the strip of today. The widest ruled box of the drawing is its scale
  // of hours: its two ends are the two midnights.
  const now = () => document.querySelectorAll(".strip[data-start]").forEach((strip) => {
    const { start, end } = strip.dataset;
    const share = (Date.now() / 1000 - start) / (end - start);
    strip.querySelectorAll("svg").forEach((svg) => {
      svg.querySelector(".strip-now")?.remove();
      const [scale] = [...svg.querySelectorAll("rect.draw-line-ink")]
        .sort((one, other) => other.getAttribute("width") - one.getAttribute("width"));
      if (!scale || share < 0 || share > 1) return;
      const line = document.createElementNS(svg.namespaceURI, "line");
      const x = +scale.getAttribute("x") + share * scale.getAttribute("width");
      const place = { class: "strip-now", x1: x, x2: x, y1: 0, y2: svg.viewBox.baseVal.height };
      Object.entries(place).forEach(([name, value]) => line.setAttribute(name, value));
      svg.append(line);
    });
  });
  now();
  setInterval(now, 60000);

  // One menu at a time; Escape and a tap elsewhere close it.
  const shut = (except) => document.querySelectorAll(".menu[open]").forEach((menu) => {
    if (menu !== except) menu.open = false;
  });
  document.addEventListener("click", (event) => shut(event.target.closest(".menu")));
  document.addEventListener("keydown", (event) => {
    const menu = event.key === "Escape" && document.querySelector(".menu[open]");
    if (menu) { menu.open = false; menu.querySelector("summary").focus(); }
  });
})();
