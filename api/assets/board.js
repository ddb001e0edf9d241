// The board works without this. It follows a search and says when something else has changed.
"use strict";

// A session that has ended leaves nothing on the screen: whoever comes back to a page is led to sign in.
const stillSignedIn = async () => {
  const answer = await fetch("/v1/session", { cache: "no-store" }).catch(() => null);
  if (answer?.status === 401) location.reload();
};
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) stillSignedIn();
});
addEventListener("pageshow", (event) => {
  if (event.persisted) stillSignedIn();
});

// A plan that is being made: show what is known, and the plan once it is there.
for (const box of document.querySelectorAll("[data-follow]")) {
  const source = new EventSource(box.dataset.follow);
  const say = (name, value) => {
    const place = box.querySelector(name);
    if (place && typeof value === "number") place.textContent = value.toFixed(0);
  };
  source.addEventListener("progress", (message) => {
    const { progress } = JSON.parse(message.data);
    say(".best", progress.best);
    say(".bound", progress.bound);
    say(".seconds", progress.seconds);
  });
  source.addEventListener("end", () => {
    source.close();
    location.reload();
  });
}

// Where a new bar is: a guess of the browser's own clock, to be typed over.
for (const form of document.querySelectorAll("[data-zone]")) {
  const field = document.getElementById(form.dataset.zone);
  if (field && !field.value) field.value = Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
}

// A file is read here and sent as text.
for (const chosen of document.querySelectorAll("[data-into]")) {
  chosen.addEventListener("change", async () => {
    const text = await chosen.files[0]?.text();
    if (text) document.getElementById(chosen.dataset.into).value = text;
  });
}

// The picture: what is under the finger, or under the arrow keys, is told in words.
for (const box of document.querySelectorAll("[data-walk]")) {
  const readout = document.getElementById(box.dataset.walk);
  const stops = [...box.querySelectorAll(".ribbon, .gate")];
  let at = -1;
  const say = (stop) => {
    const title = stop.querySelector("title").textContent;
    readout.textContent = title;
    if (!stop.dataset.href) return;
    const link = document.createElement("a");
    link.href = stop.dataset.href;
    link.textContent = "Open it";
    readout.append(" ", link);
  };
  const walk = (next) => {
    if (at >= 0) stops[at].classList.remove("walked");
    at = (next + stops.length) % stops.length;
    stops[at].classList.add("walked");
    stops[at].scrollIntoView({ block: "nearest", inline: "nearest" });
    say(stops[at]);
  };
  box.addEventListener("keydown", (event) => {
    if (!stops.length) return;
    if (event.key === "ArrowRight" || event.key === "ArrowDown") walk(at + 1);
    else if (event.key === "ArrowLeft" || event.key === "ArrowUp") walk(at - 1);
    else if (event.key === "Enter" && at >= 0 && stops[at].dataset.href) location.href = stops[at].dataset.href;
    else return;
    event.preventDefault();
  });
  for (const stop of stops) {
    stop.addEventListener("pointerenter", () => say(stop));
    stop.addEventListener("click", () => walk(stops.indexOf(stop)));
  }
}

// An answer that is being worked out: look again in a moment.
for (const box of document.querySelectorAll("[data-again]")) {
  setTimeout(() => location.reload(), Number(box.dataset.again));
}

// A picture that is worked out: what stands in its place says so, and says if it does not come.
for (const picture of document.querySelectorAll("[data-arrives]")) {
  const note = picture.previousElementSibling;
  const came = () => { note.hidden = true; };
  const failed = () => {
    picture.classList.add("absent");
    note.textContent = "It could not be worked out now. Load the page again to try once more.";
  };
  if (picture.complete) (picture.naturalWidth ? came : failed)();
  picture.addEventListener("load", came);
  picture.addEventListener("error", failed);
}

// A form with the physics beside it: what it means is asked for as the numbers change.
for (const form of document.querySelectorAll("[data-live]")) {
  const place = document.getElementById(form.dataset.live);
  let waiting;
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      const body = new URLSearchParams(new FormData(form));
      body.set("only_look", "yes");
      const answer = await fetch(form.action, { method: "POST", body });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const told = page.getElementById(form.dataset.live);
      const notice = page.querySelector(".notice");
      if (answer.ok && told) place.replaceChildren(...told.childNodes);
      else if (notice) place.replaceChildren(notice);
    }, 400);
  });
}

// The floor: what somebody else reports is shown as it comes, but not while something is written.
for (const title of document.querySelectorAll("[data-watch]")) {
  const source = new EventSource("/v1/events/stream?site=" + encodeURIComponent(title.dataset.watch));
  const busy = () => document.querySelector("main details[open]") || document.activeElement.matches("input, select, textarea");
  const changed = () => {
    if (!busy()) {
      location.reload();
      return;
    }
    if (document.querySelector(".changed")) return;
    const note = document.createElement("p");
    note.className = "changed";
    note.setAttribute("role", "status");
    const link = document.createElement("a");
    link.className = "button";
    link.href = location.href;
    link.textContent = "Something has changed: look again";
    note.append(link);
    title.after(note);
  };
  for (const kind of ["work.started", "work.finished", "work.failed", "work.skipped", "plan.published"]) {
    source.addEventListener(kind, changed);
  }
  // The stream ends with the session, and is then refused.
  source.addEventListener("error", () => {
    if (source.readyState === EventSource.CLOSED) stillSignedIn();
  });
  addEventListener("pagehide", () => source.close());
}
