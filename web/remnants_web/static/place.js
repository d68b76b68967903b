// A page that waits for its answer: tells how far it is, and shows the answer once it is there.
export function watch(place) {
  const form = document.getElementById("again");
  const asked = () => fetch(location.href, { method: form ? "POST" : "GET", body: form && new URLSearchParams(new FormData(form)), headers: { Accept: "application/json" } });
  const look = async () => {
    const answer = await asked().catch(() => null);
    if (answer?.status === 202) place.firstElementChild.textContent = (await answer.json()).told;
    if (!answer || answer.status === 202) setTimeout(look, place.dataset.again * 1000);
    else if (form) form.submit();
    else location.reload();
  };
  setTimeout(look, place.dataset.again * 1000);
}
