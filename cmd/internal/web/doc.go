// Package web is the local page: a folder of circuits and jobs, shown and worked on in a browser. It serves what a door
// (package door) lets in; it checks no address and no pass itself.
//
//	page, err := web.New(web.Options{Folder: "jobs", Now: time.Now})
//	defer page.Close()
//	d.WhenClosing(page.Close)
//	err = d.Serve(ctx, page)
//
// The way of a reading: typed on the page (assets/sheet.js), put into the browser's own queue with an id of its own
// (queue.js), posted to /api/readings, read by view.Typed, held against the journal of ids, appended to the job file by
// package files, ranked, answered with the new ranking, and told to every other page on that job (door.Hub). The plan for
// the next reading takes longer than the ranking and is asked for by itself.
//
// Who may lose nothing:
//
//   - The file is the truth. Nothing of a job is kept here but what can be worked out from its file again, and the state
//     that people say the machine is in now.
//   - A reading stays in the browser's queue until the server has said that it stands in the file. A reading sent again,
//     because the answer was lost, is written once: see journal.
//   - Two people who add readings at once both have them in the file: an addition never depends on what else stands there.
//     Whoever changes or takes out what stands there says which text of the file they saw (If-Match, the text's hash); where
//     the file holds another by now, the answer is 409 with what it holds, and nothing is written.
//   - A file that was edited by hand so that it cannot be read is shown with the line at fault, and nothing is written into
//     it until it can be read again; readings wait in the queue.
package web
