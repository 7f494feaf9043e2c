// A worker that does nothing but tick: a page that is not seen gets few ticks of its own.
setInterval(() => postMessage(0), 1000);
