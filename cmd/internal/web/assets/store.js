// What all parts of a job's page look at, and how they hear of each other without knowing each other. Only job.js and
// plan.js write the store.
export const store = {
  file: new URLSearchParams(location.search).get("file") || "",
  job: null,
  circuit: null, // of the job's circuit: points, plugs, places
  plan: null, // for the job as shown; null while it is worked out
};

// about is the address of a question about the job.
export const about = (path, more = {}) => `/api/${path}?` + new URLSearchParams({ file: store.file, ...more });

// What is told: "measure" (a reading is to be entered: what the sheet's begin wants), "state" (the machine is put into
// another), "job" (the server has answered with the job: {job, own}), "again" (the job is to be asked for anew).
const heard = new Map();
export const on = (name, f) => heard.set(name, [...(heard.get(name) || []), f]);
export const tell = (name, value) => (heard.get(name) || []).forEach((f) => f(value));
