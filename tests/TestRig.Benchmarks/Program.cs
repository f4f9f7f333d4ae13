using TestRig.Benchmarks;

// The bare program that start-up is compared with: a .NET program that does nothing.
if (args is [StartUpComparisons.BareMode])
    return 0;

return Report.Run(args);
