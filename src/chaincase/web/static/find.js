// Lists that follow what one types: the same page is asked as the button would ask it, and its list is put in place.

for (const form of document.querySelectorAll("form[data-find]")) {
  const place = form.dataset.find;
  let asked, wait;

  const show = async () => {
    clearTimeout(wait);
    asked?.abort();
    asked = new AbortController();
    const fields = [...new FormData(form)].filter(([, value]) => value);
    const query = new URLSearchParams(fields).toString();
    const address = query ? `${form.action}?${query}` : form.action;
    try {
      const answer = await fetch(address, { signal: asked.signal, headers: { accept: "text/html" } });
      const made = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(place);
      if (!made) return location.assign(address); // signed out, or another fault: its own page says what
      document.getElementById(place).replaceChildren(...made.childNodes);
      history.replaceState(null, "", address);
    } catch (fault) {
      if (fault.name !== "AbortError") form.dataset.lost = "";
    }
  };

  form.addEventListener("input", (event) => {
    if (event.target.type !== "search") return;
    clearTimeout(wait);
    wait = setTimeout(show, 180);
  });
  form.addEventListener("change", (event) => {
    // Which sites there are depends on the customer, so that the whole page is asked.
    if (event.target.name === "customer") return form.requestSubmit();
    if (event.target.type !== "search") show();
  });
  form.classList.add("live");
}
