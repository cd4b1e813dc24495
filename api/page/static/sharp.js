// Charts for paper are drawn three times as fine as the screen is; they ask the
// browser how fine that is, before anything else runs.
Object.defineProperty(window, 'devicePixelRatio', { configurable: true, get: () => 3 });
