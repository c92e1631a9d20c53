// Package pages measures the pages of a large cellar as people meet them: a program
// that serves 1,000 jugs of 100 entries each, 20 browsers that ask for pages while one
// phone writes, and one phone that sees a page for the first time over a slow line.
//
//	Fill     writes the cellar
//	Measure  starts the program over it, asks, and reports
//
// Everything is sent to this machine's own loopback address, so many requests and no
// more, and ends by itself. The browsers stand in for people who tap twice a second; no
// person does. What is measured is what the client waits for, on a machine that also runs
// the clients.
package pages
