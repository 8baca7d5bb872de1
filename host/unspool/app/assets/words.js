/* What scripts say, in the reader's language: `_` for a message, `many` for a count of things.
 *
 * The English text is the key, as in unspool/language.py. A page in another language loads
 * `unspoolWords` before this. */
"use strict";

(() => {
  const { messages, counted, decimal } = { messages: {}, counted: {}, ...window.unspoolWords };
  const form = new Intl.PluralRules(document.documentElement.lang);
  const filled = (text, values) => text.replace(/\{(\w+)\}/g, (_all, name) => values[name]);

  /* A number as text, with the decimal sign of the language. */
  const localised = (text) => (decimal ? String(text).replace(".", decimal) : String(text));

  /* The message, with the values in its {fields}. */
  window._ = (message, values = {}) => filled(messages[message] || message, values);

  /* The message for so many; `{count}` is the number. */
  window.many = (one, more, count, values = {}) => {
    const forms = counted[one] || [one, more];
    const text = forms[form.select(count) === "one" ? 0 : 1];
    return filled(text, { count: count.toLocaleString(document.documentElement.lang), ...values });
  };

  window.unspool = Object.assign(window.unspool || {}, { localised });
})();
