// A page that waits for its answer: tells how far it is, and shows the answer once it is there.
export function watch(place) {
  const form = document.getElementById("again");
  const asked = () => fetch(location.href, { method: form ? "POST" : "GET", body: form && new URLSearchParams(new FormData(form)), headers: { Accept: "application/json" } });
  const far = document.getElementById("far");
  const tell = ({ told, worked_s }) => {
    place.firstElementChild.textContent = told;
    if (worked_s === null) far.removeAttribute("value");
    else far.value = worked_s;
  };
  const look = async () => {
    const answer = await asked().catch(() => null);
    if (answer?.status === 202) tell(await answer.json());
    if (!answer || answer.status === 202) setTimeout(look, place.dataset.again * 1000);
    else if (form) form.submit();
    else location.reload();
  };
  setTimeout(look, place.dataset.again * 1000);
}
