// The menu folds on narrow screens. Without this script it simply stays open.
"use strict";

for (const opener of document.querySelectorAll(".navigation-opener")) {
  const navigation = document.getElementById(opener.getAttribute("aria-controls"));
  navigation.classList.add("is-foldable");
  opener.hidden = false;
  opener.addEventListener("click", () => {
    const open = navigation.classList.toggle("is-open");
    opener.setAttribute("aria-expanded", String(open));
  });
}
