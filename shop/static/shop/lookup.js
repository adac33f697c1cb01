// The search box of the counter: arrows walk the suggestions, Enter takes one, Escape puts them away (the
// combobox pattern of the ARIA practices). Without this file the box is a plain form that lists what it finds.
(function () {
  "use strict";
  function boxOf(element) {
    var form = element && element.closest && element.closest("[data-lookup]");
    var input = form && form.querySelector("[role=combobox]");
    return input && {
      input: input,
      list: document.getElementById(input.getAttribute("aria-controls")),
      said: form.querySelector("[data-said]")
    };
  }
  function options(box) {
    return Array.prototype.slice.call(box.list.querySelectorAll("[role=option]"));
  }
  function show(box, open) {
    open = open && options(box).length > 0;
    box.list.hidden = !open;
    box.input.setAttribute("aria-expanded", open ? "true" : "false");
    if (!open) {
      activate(box, null);
    }
  }
  function activate(box, option) {
    options(box).forEach(function (one) {
      one.setAttribute("aria-selected", one === option ? "true" : "false");
    });
    if (option) {
      box.input.setAttribute("aria-activedescendant", option.id);
      option.scrollIntoView({ block: "nearest" });
    } else {
      box.input.removeAttribute("aria-activedescendant");
    }
  }
  function active(box) {
    return box.list.querySelector("[aria-selected=true]");
  }
  function take(option) {
    window.location.assign(option.getAttribute("data-address"));
  }
  document.addEventListener("keydown", function (event) {
    var box = event.target.getAttribute && event.target.getAttribute("role") === "combobox" && boxOf(event.target);
    if (!box || event.isComposing) {
      return;
    }
    var all = options(box);
    var at = all.indexOf(active(box));
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      if (!all.length) {
        return;
      }
      event.preventDefault();
      show(box, true);
      // One step past either end is the box itself, so that what was typed can be reached again.
      var next = event.key === "ArrowDown" ? at + 1 : at < 0 ? all.length - 1 : at - 1;
      activate(box, all[next] || null);
    } else if (event.key === "Enter" && at >= 0 && !box.list.hidden) {
      event.preventDefault();
      take(all[at]);
    } else if (event.key === "Escape" && !box.list.hidden) {
      event.preventDefault();
      show(box, false);
    } else if (event.key === "Tab") {
      show(box, false);
    }
  });
  document.addEventListener("htmx:afterSwap", function (event) {
    var box = boxOf(event.target);
    if (!box || event.target !== box.list) {
      return;
    }
    show(box, document.activeElement === box.input && box.input.value.trim() !== "");
    var count = options(box).length;
    if (box.said) {
      box.said.textContent = count ? count + (count === 1 ? " suggestion" : " suggestions") : "no suggestions";
    }
  });
  document.addEventListener("mousedown", function (event) {
    var option = event.target.closest && event.target.closest("[data-lookup] [role=option]");
    if (option) {
      event.preventDefault(); // the box keeps the focus until the click
    }
  });
  document.addEventListener("click", function (event) {
    var option = event.target.closest && event.target.closest("[data-lookup] [role=option]");
    if (option) {
      take(option);
    } else if (event.target.closest && event.target.closest("[data-print]")) {
      window.print();
    }
  });
  document.addEventListener("focusout", function (event) {
    var box = boxOf(event.target);
    if (box && event.target === box.input) {
      show(box, false);
    }
  });
  document.querySelectorAll("[data-print]").forEach(function (button) {
    button.hidden = false;
  });
})();
