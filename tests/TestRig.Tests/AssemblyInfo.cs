// Each test has an emulated chip that wants a processor of its own to keep up with real time.
[assembly: CollectionBehavior(DisableTestParallelization = true)]
