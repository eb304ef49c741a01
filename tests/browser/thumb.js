// A quick thumb for tests: taps what the page shows and waits for the page's own word, and for nothing else.
(() => {
  const QUICKER = 50; // so many times shorter are the page's pauses: after a save, and between two tries to send
  const pause = setTimeout;
  globalThis.setTimeout = (work, ms = 0, ...given) => pause(work, ms / QUICKER, ...given);

  const EVERYTHING = { subtree: true, childList: true, attributes: true, characterData: true };
  const LONGEST_MS = 30_000;
  const at = (id) => document.getElementById(id);

  /** Resolves to what `look` finds, as soon as the page has it. */
  const until = (look, what) => new Promise((resolve, reject) => {
    const seen = () => {
      const found = look();
      if (!found) return;
      observer.disconnect();
      clearTimeout(late);
      resolve(found);
    };
    const observer = new MutationObserver(seen);
    const late = pause(() => {
      observer.disconnect();
      reject(new Error(`Never saw ${what}, but: ${location.hash} ${at("page")?.innerText.slice(0, 200)}`));
    }, LONGEST_MS);
    observer.observe(document, EVERYTHING);
    seen();
  });

  const named = (scope, label) => [...scope.querySelectorAll("button")]
    .find((button) => (button.getAttribute("aria-label") ?? button.textContent) === label);

  /** Resolves to what the page says next. */
  const nextWord = () => new Promise((resolve) => {
    const observer = new MutationObserver(() => {
      observer.disconnect();
      resolve(at("alarm").textContent || at("said").textContent);
    });
    for (const place of ["said", "alarm"]) observer.observe(at(place), { childList: true });
  });

  /** Press, with the phone's time just before and after; `sure` waits for what the page then says. */
  async function press(work, sure) {
    const word = nextWord();
    const before = Date.now();
    work();
    const after = Date.now();
    return { before, after, said: sure ? await word : null };
  }

  /** Go to a page; resolves once what stood there before is gone. */
  const open = (hash) => location.hash !== hash && new Promise((resolve) => {
    addEventListener("hashchange", resolve, { once: true });
    location.hash = hash;
  });

  const heading = () => document.querySelector("#page h1")?.textContent;

  /** A link of the page into a block: what was drawn for the hash before still stands there for a moment. */
  const into = (block, rest) => document.querySelector(`#page a[href*="block/${block}${rest}"]`);

  /** The buttons of a ball, once they take taps. */
  function ball(block, n) {
    named(at("page"), "First ball")?.click();
    const box = into(block, "/shots") && document.querySelector("#page .entry");
    return heading()?.startsWith(`Ball ${n} of `) && box && !box.inert && box;
  }

  const turf = () => {
    const box = document.querySelector(".turf-page .entry");
    return box && !box.inert && box;
  };

  /** Each resolves to the button whose tap saves. */
  const ready = {
    async shot({ block, n, label }) {
      await open(`#/block/${block}`);
      return named(await until(() => ball(block, n), `ball ${n}`), label);
    },
    async swing({ strike, ground }) {
      await open("#/turf");
      const box = await until(turf, "turf");
      named(box, strike).click();
      return named(box, ground);
    },
  };

  const deeds = {
    async shot(given, sure) {
      const button = await ready.shot(given);
      return press(() => button.click(), sure);
    },
    async swing(given, sure) {
      const button = await ready.swing(given);
      return press(() => button.click(), sure);
    },
    async undo({ hash }, sure) {
      await open(hash);
      const last = await until(() => {
        const bar = document.querySelector("#page .last");
        return bar && named(bar, "Undo");
      }, "Undo");
      if (hash === "#/turf") await until(turf, "turf");
      return press(() => last.click(), sure);
    },
    async correct({ block, n, label }, sure) {
      await open(`#/block/${block}/shots`);
      const past = () => [...document.querySelectorAll(`#page .past a[href*="block/${block}/"]`)]
        .find((a) => a.textContent.startsWith(`${n}. `));
      (await until(past, `past ball ${n}`)).click();
      const page = await until(() => document.querySelector("#page .correct"), "the correction");
      named(page, label).click();
      return press(() => named(page, "Save").click(), sure);
    },
  };

  /** Do one thing after the other, up to one of which the page does not say its word; resolves to the times of each and
   * what the page said. */
  globalThis.thumb = async (all, sure = true) => {
    document.documentElement.style.display = "none"; // drawing takes most of the time and saves nothing
    const done = [];
    for (const [deed, given, word] of all) {
      done.push(await deeds[deed](given, sure));
      if (sure && done.at(-1).said !== word) break; // what follows on it would be waited for in vain
    }
    return done;
  };

  // --- two tabs at once

  const start = new BroadcastChannel("start of a race");

  /** Get both fingers to their buttons, then press when the other tab says so; `ended` resolves to what came of it. */
  globalThis.raceBy = async ([deed, given]) => {
    const button = await ready[deed](given);
    globalThis.ended = new Promise((resolve) => {
      start.onmessage = () => resolve(pressIfThere(button));
    });
  };

  globalThis.race = async ([deed, given]) => {
    const button = await ready[deed](given);
    start.postMessage("go");
    return pressIfThere(button);
  };

  /** Press a button that may have gone, or rest, by now. */
  function pressIfThere(button) {
    const now = Date.now();
    const isThere = button?.isConnected && !button.closest("[inert]");
    return isThere ? press(() => button.click(), true) : { before: now, after: now, said: "not tapped" };
  }

  /** Tap at a ball again where this tab still asks for it; resolves to what the page says. */
  globalThis.tryAgain = async ([deed, { block, n, label }]) => {
    if (deed !== "shot") return "not tapped";
    await open(`#/block/${block}`);
    const isPast = () => heading() && !named(at("page"), "First ball") && !heading().startsWith(`Ball ${n} of `);
    const box = await until(() => ball(block, n) || isPast(), `ball ${n} or what comes after it`);
    return (await pressIfThere(box !== true && named(box, label))).said;
  };

  /** Resolves to what is on a page that was just opened. */
  globalThis.opened = async () => {
    await until(heading, "a heading");
    if (named(at("page"), "First ball")) return "First ball";
    return document.querySelector(".turf-page .lead")?.textContent ?? heading();
  };
})();
