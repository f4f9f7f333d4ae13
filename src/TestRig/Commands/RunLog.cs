using System.Globalization;
using Serilog;
using Serilog.Core;
using TestRig.Bench.Files;

namespace TestRig.Commands;

/// <summary>The log of a run, in its folder.</summary>
internal static class RunLog
{
    /// <summary>Each line with its instant, offset from UTC included, and its run, so that lines of several runs may be mixed.</summary>
    public const string Line = "{Timestamp:yyyy-MM-dd'T'HH:mm:ss.fffzzz} {Level:u3} {Run} {Message:lj}{NewLine}{Exception}";

    public static Logger Create(RunFolder folder) => Of(folder).CreateLogger();

    /// <summary>The same, and in the log of the service as well.</summary>
    public static Logger Create(RunFolder folder, ILogger service) => Of(folder).WriteTo.Logger(service).CreateLogger();

    private static LoggerConfiguration Of(RunFolder folder) => new LoggerConfiguration()
        .Enrich.WithProperty("Run", Path.GetFileName(folder.Path))
        .WriteTo.File(folder.LogFile, outputTemplate: Line, formatProvider: CultureInfo.InvariantCulture);
}
