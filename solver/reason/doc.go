// Package reason weighs every fault that a circuit allows against the readings of a job.
//
// It is Bayes over explicit hypotheses. Each hypothesis is a place and a kind of fault with a prior weight that can be
// shown (weights.go). An unknown resistance is integrated over strips, never fitted: at 4.98 V of 5 V the best-fitting
// series fault always beats "healthy", the integral does not. Tolerances are carried as one Gaussian vector for all
// readings, so that readings stay correlated; an unknown stimulus is a second grid. Every reading may be a misreading.
//
// Nothing here prints, and nothing sees the network's matrices.
package reason
