using TestRig.Commands;

return await CommandLine.RunAsync(args);
