// Each test has an emulated chip that wants a good part of a processor to keep up with real time, and waits most of its own: two classes at a time, so that a
// small machine is busy and not overrun.
[assembly: CollectionBehavior(MaxParallelThreads = 2)]
