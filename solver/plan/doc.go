// Package plan says what to do next with a ranked job: which reading tells most for its minutes, what each outcome of it
// would mean, whether the place is proven, when repairing costs less than measuring on, and which few readings show that a
// repair held.
package plan
