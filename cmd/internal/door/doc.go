// Package door decides who may come in to a page that this program serves, whatever is served behind it. It listens,
// checks every request before the page sees it, and closes in good order.
//
//	d, err := door.Open(door.Options{Port: 8642})     // this machine only
//	d, err := door.Open(door.Options{LAN: true})      // the local network too, with a code
//	fmt.Println(d.URL())                              // http://127.0.0.1:8642/
//	ctx, stop := door.UntilStopped(ctx)               // until SIGINT or SIGTERM
//	defer stop()
//	err = d.Serve(ctx, handler)                       // nil when stopped
//
// What stands between the network and the handler, in this order:
//
//   - a crowd is kept out: at most 512 connections, 64 of one address; slow headers, slow bodies and slow readers end;
//   - a panic of the handler is an answer 500 and a line in Options.Log, never the end of the program;
//   - every answer carries the headers that keep a page from being framed, sniffed, scripted or fetched by another site;
//   - a request must name this machine as a machine would (an address, "localhost", with LAN its host name too), so that
//     a foreign name that was pointed at this machine gets nothing (DNS rebinding);
//   - a request that another site's page makes is refused: any write (http.CrossOriginProtection), and any read but an
//     ordinary visit;
//   - the body has a limit (Options.BodyBytes);
//   - with LAN, or where Options.Locked asks for it on this machine too, nobody comes in without a pass.
//
// A pass is a random code of 50 bits, new each time a door opens. It reaches a phone in the fragment of an address
// (http://192.168.1.20:8642/#in=7QK2MXW94T), which a browser never sends; the entry page posts it once and gets a cookie
// that no script can read (HttpOnly, SameSite=Strict), and takes it out of the address bar. Who has no camera types it.
// Wrong codes are answered slowly and a few at a time, so that all of them cannot be tried. A door may have several
// passes, for several kinds of people: PassOf tells the handler which one a request came in with.
//
// Hub sends events to pages (server-sent events) and drops who cannot keep up; a page that comes back gets what it
// missed or is told to start afresh.
//
// Nothing here is encrypted: http on the local network can be read along by whoever controls that network. The command
// that opens a door says so.
package door
