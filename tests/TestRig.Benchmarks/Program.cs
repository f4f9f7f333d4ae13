using TestRig.Benchmarks;

return Report.Run(args);
