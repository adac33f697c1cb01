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
  // While the totals are worked out a switch waits: pressed now it would be lost when the answer comes.
  document.addEventListener("click", function (event) {
    var form = event.target.form;
    if (form && form.id === "choices" && form.classList.contains("htmx-request")) {
      event.preventDefault();
    }
  });
})();
