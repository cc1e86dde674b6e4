// Package files reads circuit and job files from disk or from the embedded library, and writes results whole or not at
// all. It is the only place that knows where a job's circuit lies.
package files
