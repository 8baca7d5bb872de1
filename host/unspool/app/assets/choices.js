/* Dash calls its choices a list box and each label an option of it. The label holds a button or a box
 * of its own, which a screen reader would then not find: here they are a group of labels again. */
"use strict";

(() => {
  const LABEL = "label.dash-options-list-option";

  function plain() {
    for (const label of document.querySelectorAll(`${LABEL}[role], ${LABEL}[aria-selected]`)) {
      label.removeAttribute("role");
      label.removeAttribute("aria-selected");
      const list = label.closest('[role="listbox"]');
      if (list) {
        list.setAttribute("role", "group");
        list.removeAttribute("aria-multiselectable");
      }
    }
  }

  const kinds = { subtree: true, childList: true, attributes: true, attributeFilter: ["aria-selected"] };
  new MutationObserver(plain).observe(document.body, kinds);
})();
