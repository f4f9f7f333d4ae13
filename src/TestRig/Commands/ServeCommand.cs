using System.CommandLine;
using System.Globalization;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Serilog;
using Serilog.Core;
using Serilog.Events;
using Serilog.Formatting.Json;
using TestRig.Bench.Plotting;
using TestRig.Bench.Serving;
using TestRig.Service;

namespace TestRig.Commands;

/// <summary>testrig serve BENCHES: works benches by itself, and lets browsers and programs look and ask.</summary>
internal static class ServeCommand
{
    public const string Name = "serve";

    /// <summary>Of the log: what happened a month ago nobody looks for here, runs have logs of their own.</summary>
    private const int LogFiles = 31;

    private const long LargestLogFile = 50_000_000;

    private const string ConsoleLine = "{Timestamp:yyyy-MM-dd HH:mm:ss} {Level:u3} {Run:l} {Message:lj}{NewLine}{Exception}";

    public static Command Create()
    {
        var benches = ServiceInput.Argument();
        var command = new Command(Name, "Work benches as a service: a queue of jobs for each, schedules, a page for browsers and an interface for programs.") { benches };
        command.SetAction((parsed, cancellation) => RunAsync(parsed.GetRequiredValue(benches), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(FileInfo file, CancellationToken cancellation)
    {
        if (ServiceInput.Load(file) is not { } settings)
            return ExitCode.BadUsage;
        var font = PlotFont.Find();
        await using var state = await ServiceState.OpenAsync(settings.State, cancellation);
        using var only = OnlyOne(settings);
        await using var log = Log(settings);
        await using var store = await ServiceStore.OpenAsync(settings, TimeProvider.System, cancellation);
        var interrupted = await state.InterruptRunningAsync(null, cancellation);
        log.Information("testrig {Version} serves {Benches}; runs in {Store}", ProgramVersion.Text, string.Join(", ", settings.Benches.Select(bench => bench.Name)), store.Runs.Place);
        if (interrupted > 0)
            log.Warning("{Jobs} were interrupted when the service ended before", Bench.Reporting.Words.Count(interrupted, "job"));
        await using var app = ServiceHost.Build(settings, state, store, font, TimeProvider.System, log);
        try
        {
            await app.StartAsync(cancellation);
        }
        catch (IOException taken)
        {
            throw new BadUsageException([$"Cannot listen on {settings.Listen}: {taken.Message.TrimEnd('.')}. Choose another address with 'listen' in {file}."]);
        }
        foreach (var address in app.Services.GetRequiredService<IServer>().Features.GetRequiredFeature<IServerAddressesFeature>().Addresses)
            log.Information("Listening on {Address}", address);
        await app.WaitForShutdownAsync(cancellation);
        // A mistake of ours that ended it is no regular end: whoever supervises the service is to start it again.
        foreach (var failed in app.Services.GetServices<IHostedService>().OfType<BackgroundService>().Select(part => part.ExecuteTask).OfType<Task>().Where(part => part.IsFaulted))
            await failed;
        log.Information("Ended: all lines are idle, jobs go on with the next start");
        return ExitCode.AllWorking;
    }

    /// <summary>Two services with one memory would each take the other's jobs.</summary>
    /// <exception cref="BadUsageException">Another one runs.</exception>
    private static FileStream OnlyOne(ServiceSettings settings)
    {
        var file = Path.Combine(settings.State, "service.lock");
        try
        {
            return new(file, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, 1, FileOptions.DeleteOnClose);
        }
        catch (IOException)
        {
            throw new BadUsageException([$"Another service works with {settings.State} already. End it, or name another folder with 'state'."]);
        }
    }

    private static Logger Log(ServiceSettings settings) => new LoggerConfiguration()
        .MinimumLevel.Override("Microsoft", LogEventLevel.Warning)
        // What else comes by way of the web server: who was asked for a token, for example.
        .MinimumLevel.Override(nameof(TestRig), LogEventLevel.Warning)
        // It says that no page with a form is kept in a cache, as is meant.
        .MinimumLevel.Override("Microsoft.AspNetCore.Antiforgery", LogEventLevel.Error)
        // Its keys lie in a folder that only the service's user can read.
        .MinimumLevel.Override("Microsoft.AspNetCore.DataProtection", LogEventLevel.Error)
        .Enrich.FromLogContext()
        .WriteTo.Console(outputTemplate: ConsoleLine, formatProvider: CultureInfo.InvariantCulture)
        .WriteTo.File(new JsonFormatter(renderMessage: true), settings.LogFile, rollingInterval: RollingInterval.Day, fileSizeLimitBytes: LargestLogFile, rollOnFileSizeLimit: true, retainedFileCountLimit: LogFiles)
        .CreateLogger();
}
