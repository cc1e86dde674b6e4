// Package recording says whether a recorded value jumped, when, between which levels, and which movements the jumps
// follow. It knows samples and marks, no circuit: what the levels mean is for others to say.
//
// Jumps are found by penalised likelihood: of all ways to cut the recording into stretches within which the level may only
// wander slowly, the one whose misfit plus a fixed price for every cut is least. The model is that of Romano, Rigaill, Runge
// and Fearnhead, "Detecting Abrupt Changes in the Presence of Local Fluctuations and Autocorrelated Noise", Journal of the
// American Statistical Association 117 (2022), with white noise; without wander it is the cost that PELT minimises (Killick,
// Fearnhead and Eckley, JASA 107, 2012), and it is pruned by the same inequality. Samples are taken one by one and only what
// is still undecided is kept, so memory does not grow with the recording.
//
// A cut becomes a jump only where it is abrupt, clear of the noise around it, and large (verify.go). A drift, a sensor that
// is being moved and a small shift are none.
package recording
