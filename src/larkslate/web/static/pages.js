// Small helps for the pages. Everything works without them.

/**
 * Say that a page is being made: typesetting takes a moment, and a download shows nothing until it begins.
 * @param {HTMLAnchorElement} link
 * @param {HTMLElement} status
 */
function announce(link, status) {
  link.addEventListener("click", async (event) => {
    event.preventDefault();
    const name = (link.textContent ?? "").replace(/\s+/g, " ").trim();
    status.textContent = `Making ${name} …`;
    try {
      const answer = await fetch(link.href);
      if (!answer.ok) {
        status.textContent = await answer.text();
        return;
      }
      save(await answer.blob(), answer.headers.get("x-file-name") ?? "pages.pdf");
      status.textContent = `${name} is in your downloads.`;
    } catch {
      status.textContent = "Larkslate is no longer running: start it again with run.py.";
    }
  });
}

/**
 * Hand a file to the browser's downloads.
 * @param {Blob} content
 * @param {string} name
 */
function save(content, name) {
  const address = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

for (const status of document.querySelectorAll("[data-making]")) {
  const group = status.closest(".downloads");
  for (const link of group?.querySelectorAll("a[data-makes]") ?? []) {
    if (status instanceof HTMLElement && link instanceof HTMLAnchorElement) {
      announce(link, status);
    }
  }
}
