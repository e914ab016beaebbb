// The smallest page that uses the real client: everything within reach of the test.
import { ask, boot, long, onStatus } from "./client.js";
import { keepCalculator, keepPages } from "./keep.js";

const heard = [];
onStatus((status) => heard.push(status));

const told = (promise) =>
  promise.then(
    (answer) => ({ answer }),
    ({ code, sentence, detail }) => ({ code, sentence, detail }),
  );

window.handbook = {
  heard,
  boot,
  keepPages,
  keepCalculator,
  late: () => new Promise((resolve) => onStatus(resolve)),
  settled: () => new Promise((resolve) => onStatus((status) => ["ready", "failed"].includes(status.state) && resolve(status))),
  ask: (request) => told(ask(request)),
  // Counts while asking in between, and stops after `stopAt` words of progress.
  long: (request, { askAt = 0, stopAt = 0 } = {}) => {
    const progress = [];
    const between = [];
    const work = long(request, ({ at }) => {
      progress.push(at);
      if (at === askAt) between.push(told(ask({ do: "add", numbers: [1, 2] })).then((said) => ({ said, at: progress.length })));
      if (at === stopAt) work.stop();
    });
    return told(work.promise).then(async (end) => ({ end, progress, between: await Promise.all(between) }));
  },
};
