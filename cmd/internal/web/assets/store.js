// What all parts of a job's page look at. Only job.js and plan.js write it.
export const store = {
  file: new URLSearchParams(location.search).get("file") || "",
  job: null,
  circuit: null, // of the job's circuit: points, plugs, places
  plan: null, // for the job as shown; null while it is worked out
};

// about is the address of a question about the job.
export const about = (path, more = {}) => `/api/${path}?` + new URLSearchParams({ file: store.file, ...more });
