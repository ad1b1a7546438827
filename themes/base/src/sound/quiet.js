// Tone.js greets in the console unless it is asked not to, before it is loaded.

/** @type {{TONE_SILENCE_LOGGING?: boolean}} */ (globalThis).TONE_SILENCE_LOGGING = true;
