// What page_checks.py asks of the page that is open. Answers are lists of sentences.
window.pageChecks = {
  // All that unfolds in its place; what opens over the page (a row's menu) would only hide what lies below.
  openAll() {
    for (const one of document.querySelectorAll("details")) {
      one.open = true;
      one.open = [...one.children].every((part) => getComputedStyle(part).position !== "absolute");
    }
  },

  async axe([where, only]) {
    const asked = only ? { runOnly: only } : { rules: { "target-size": { enabled: true } } };
    const { violations } = await axe.run(where, { resultTypes: ["violations"], ...asked });
    for (const { nodes } of violations.filter(({ id }) => id === "target-size")) {
      for (const node of [...nodes]) if (!await this.isTooSmall(node.target[0])) nodes.splice(nodes.indexOf(node), 1);
    }
    return violations.filter(({ nodes }) => nodes.length).map(({ id, nodes }) => {
      const { any, all, none, html } = nodes[0];
      const why = [...any, ...all, ...none].map((one) => one.message).join("; ");
      return `${id}, ${nodes.length} times, first in ${html.slice(0, 160)} (${why})`;
    });
  },

  // Half under a bar that stays, nothing is too small that is whole once it is scrolled to.
  async isTooSmall(target) {
    document.querySelector(target).scrollIntoView({ block: "center" });
    const { violations } = await axe.run(target, { runOnly: ["target-size"] });
    return violations.length > 0;
  },

  // What sticks out of the page and lies in no box that scrolls by itself.
  sideways() {
    const root = document.documentElement;
    if (root.scrollWidth <= root.clientWidth) return [];
    const keepsIn = (box) => box && (getComputedStyle(box).overflowX !== "visible" || keepsIn(box.parentElement));
    const out = [...document.body.querySelectorAll("*")].filter((one) =>
      one.getBoundingClientRect().right > root.clientWidth + 1 && !keepsIn(one.parentElement));
    return [`${root.scrollWidth - root.clientWidth} px too wide for ${out.at(-1)?.outerHTML.slice(0, 160)}`];
  },

  // Short words that are broken in two: what they stand in has no room.
  broken() {
    const found = [];
    const words = document.createRange();
    for (const one of document.querySelectorAll("h1, h2, h3, caption, legend, th, dt, label, summary, button")) {
      if (!one.checkVisibility()) continue;
      const texts = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
      while (texts.nextNode()) {
        for (const { 0: word, index } of texts.currentNode.data.matchAll(/\p{L}{2,12}(?!\p{L})/gu)) {
          words.setStart(texts.currentNode, index);
          words.setEnd(texts.currentNode, index + word.length);
          const lines = new Set([...words.getClientRects()].filter(({ width }) => width).map(({ top }) => Math.round(top)));
          if (lines.size > 1) found.push(`“${word}” is broken in ${one.outerHTML.slice(0, 120)}`);
        }
      }
    }
    return found;
  },

  // Goes through all that the keyboard reaches, forwards and back, as Tab does: the browser scrolls to what gets
  // the focus. What shows it may be drawn round it, or in or beside it where it is itself not seen.
  keyboard() {
    const found = new Set();
    const called = (one) => one.outerHTML.slice(0, 160);
    const reached = [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")]
      .filter((one) => one.tabIndex >= 0 && !one.disabled && one.checkVisibility({ visibilityProperty: true }));
    const about = (one) => [one, one.nextElementSibling, one.parentElement, ...one.children].filter(Boolean);
    const look = (one) => {
      const its = getComputedStyle(one);
      const outline = its.outlineStyle === "none" ? "" : its.outlineWidth + its.outlineColor;
      return [outline, its.boxShadow, its.stroke, its.strokeWidth].join(" ");
    };
    const isHidden = (one) => {
      const { left, top, width, height } = one.getBoundingClientRect();
      if (width < 2 || height < 2) return false;
      const at = [0.1, 0.5, 0.9];
      return at.flatMap((x) => at.map((y) => [left + x * width, top + y * height])).every(([x, y]) => {
        const seen = document.elementFromPoint(x, y);
        return !seen || !(one.contains(seen) || seen.contains(one) || one.labels?.[0]?.contains(seen));
      });
    };
    for (const order of [reached, reached.toReversed()]) {
      for (const one of order) {
        document.activeElement.blur();
        const before = about(one).map(look);
        one.focus();
        if (document.activeElement !== one) continue;
        if (order === reached && about(one).every((part, at) => look(part) === before[at])) {
          found.add(`nothing shows that the keyboard is at ${called(one)}`);
        }
        if (isHidden(one)) found.add(`the keyboard is out of sight at ${called(one)}`);
      }
    }
    document.activeElement.blur();
    scrollTo(0, 0);
    return [...found];
  },

  remember() {
    this.shown = new Set([...document.querySelectorAll("main *")].filter((one) => one.checkVisibility()));
  },
  showsMore() {
    return [...document.querySelectorAll("main *")].some((one) => one.checkVisibility() && !this.shown.has(one));
  },
};
