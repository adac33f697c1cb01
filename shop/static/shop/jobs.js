// The job page's live parts. Without this file every form still works: it is then sent and answered as a page.
(function () {
  "use strict";
  // A refusal (409, 422) comes with the words to show in place: swap it in, it is no failure of the connection.
  document.addEventListener("htmx:beforeSwap", function (event) {
    var status = event.detail.xhr.status;
    if (status === 409 || status === 422) {
      event.detail.shouldSwap = true;
      event.detail.isError = false;
    }
  });
  // The switch that was used stays where it was on the screen, whatever grew above it; a refusal is shown instead.
  var used = null;
  document.addEventListener("change", function (event) {
    if (event.target.name === "include") {
      used = event.target.id;
    }
  });
  document.addEventListener("htmx:beforeSwap", function (event) {
    var before = used && event.detail.target.id === "priced" && document.getElementById(used);
    if (!before) {
      return;
    }
    var top = before.getBoundingClientRect().top;
    document.addEventListener("htmx:afterSettle", function () {
      var refusal = document.querySelector("#estimate [role=alert]");
      var after = document.getElementById(used);
      if (refusal) {
        refusal.scrollIntoView({ block: "center" });
      } else if (after) {
        window.scrollBy(0, after.getBoundingClientRect().top - top);
      }
    }, { once: true });
  });
  // While the totals are worked out a switch waits: pressed now it would be lost when the answer comes.
  document.addEventListener("click", function (event) {
    var form = event.target.form;
    if (form && form.id === "choices" && form.classList.contains("htmx-request")) {
      event.preventDefault();
    }
  });
})();
