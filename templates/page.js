// Answers at once when a number changes. Without this script the page works by its button.
"use strict";
(() => {
  const form = document.getElementById("question");
  const answer = document.getElementById("answer");
  if (!form || !answer) return;
  const WAIT_MS = 250;
  let timer = 0;
  let asking = null;

  const asked = () => {
    const given = new URLSearchParams();
    for (const [name, value] of new FormData(form)) given.append(name, value);
    return `${form.getAttribute("action")}?${given}`;
  };

  const refuse = (words) => {
    const told = document.createElement("section");
    told.className = "refused";
    told.setAttribute("role", "alert");
    told.textContent = words;
    answer.replaceChildren(told);
  };

  const ask = async () => {
    if (asking) asking.abort();
    asking = new AbortController();
    const { signal } = asking;
    const path = asked();
    try {
      const response = await fetch(path, { signal, credentials: "same-origin" });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      const fresh = page.getElementById("answer");
      if (signal.aborted) return;
      if (!fresh) throw new Error(String(response.status));
      answer.replaceChildren(...fresh.childNodes);
      for (const field of form.elements) field.removeAttribute("aria-invalid");
      for (const wrong of page.querySelectorAll("#question [aria-invalid]")) {
        const own = wrong.id ? document.getElementById(wrong.id) : null;
        if (own) own.setAttribute("aria-invalid", "true");
      }
      document.title = page.title;
      history.replaceState(null, "", path);
    } catch (error) {
      if (signal.aborted) return;
      refuse("No answer: the server did not reply. Nothing on this page may be relied on until it does.");
    }
    if (!signal.aborted) answer.setAttribute("aria-busy", "false");
  };

  form.addEventListener("input", () => {
    // An answer to other numbers than those that stand beside it must not be read as theirs.
    answer.setAttribute("aria-busy", "true");
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT_MS);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    answer.setAttribute("aria-busy", "true");
    clearTimeout(timer);
    ask();
  });
})();
