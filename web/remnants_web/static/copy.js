// A button that copies the text of what it names; where the browser lets no page copy, the text is marked to be copied by hand.
export function all(buttons) {
  for (const button of buttons) {
    const text = document.getElementById(button.dataset.copy);
    button.hidden = false;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(text.textContent.trim());
        button.textContent = "Copied";
      } catch { getSelection().selectAllChildren(text); }
    });
  }
}
