// Words and pace that the pages of a class share.

export const minutes = (m) => `${Math.round(m * 10) / 10} min`;

// once lets a thing be asked for often and done seldom: at once, and then at most every so many milliseconds. What is
// asked for while it runs is done once more behind it.
export function once(every, f) {
  let busy = false;
  let more = false;
  return async function run() {
    if (busy) {
      more = true;
      return;
    }
    busy = true;
    try {
      await f();
    } finally {
      setTimeout(() => {
        busy = false;
        if (more) {
          more = false;
          run();
        }
      }, every);
    }
  };
}
