/** The languages that the sheets can be read in besides English: the names of the files in words/. */

/** @type {string[]} */
export const LANGUAGES = [];
