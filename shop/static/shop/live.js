// Says so when a live part of a page could not be fetched: without this a failed request changes nothing on the
// page and the old answer would pass for the new one.
(function () {
  "use strict";
  function say(text) {
    var place = document.getElementById("live-problem");
    if (place) {
      place.textContent = text;
      place.hidden = !text;
    }
  }
  document.addEventListener("htmx:sendError", function () {
    say("No answer from the server: what you see is not up to date. Check the connection and try again.");
  });
  document.addEventListener("htmx:responseError", function (event) {
    say("The server refused this (" + event.detail.xhr.status + "): what you see is not up to date. Reload the page.");
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    if (event.detail.successful) {
      say("");
    }
  });
})();
