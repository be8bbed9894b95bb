package record

// The cost of a new key file made in a browser, where all runs on one thread and
// memory once taken is never given back: OWASP's minimum.
const newTime, newMemory, newThreads = minTime, minMemory, 1
