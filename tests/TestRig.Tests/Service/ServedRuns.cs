using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TestRig.Bench.Storage;
using TestRig.Service;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>The endpoints and pages of runs in a web server of this process, over a store that the program itself has filled.</summary>
public sealed class ServedRuns : IAsyncLifetime
{
    private WebApplication? _server;

    /// <summary>Its third isolator is slow; three rounds; board number 17.</summary>
    public string Faulty { get; private set; } = "";

    /// <summary>The same board, repaired.</summary>
    public string Repaired { get; private set; } = "";

    /// <summary>A soak whose third isolator fails now and then.</summary>
    public string Soak { get; private set; } = "";

    public string Trial { get; private set; } = "";

    /// <summary>Of another board.</summary>
    public string OtherBoard { get; private set; } = "";

    public HttpClient Client { get; } = new();

    /// <summary>What all paths of the service stand behind.</summary>
    public Uri Address => Client.BaseAddress!;

    /// <summary>The folder with the file that all of it is in.</summary>
    public string Folder { get; } = TestFolders.Create().FullName;

    public string StoreFile => Path.Combine(Folder, "runs.db");

    public async Task InitializeAsync()
    {
        Faulty = Run(1, "sweep", Repository.DomeProfile, "--fault", "OK3=slow:3x", "--repeat", "3", "--serial", "17");
        Repaired = Run(0, "sweep", Repository.DomeProfile, "--adapter", "simulated", "--serial", "17");
        Soak = Run(1, "soak", Repository.DomeProfile, "--fault", "OK3=intermittent:0.1", "--cycles", "40");
        Trial = Run(1, "trial", Repository.SocketProfile, "--part", "2=ctr:0.2x", "--parts", "6");
        OtherBoard = Run(0, "sweep", Repository.CarillonProfile, "--adapter", "simulated");
        Client.BaseAddress = new(await ServeAsync(await RunStores.OpenAsync(StoreFile, CancellationToken.None)));
    }

    public async Task DisposeAsync()
    {
        Client.Dispose();
        if (_server is not null)
            await _server.DisposeAsync();
    }

    /// <summary>A server of its own on a free port.</summary>
    /// <returns>Its address.</returns>
    private async Task<string> ServeAsync(IRunStore store)
    {
        _server = Build(store);
        await _server.StartAsync();
        return _server.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.Single();
    }

    internal static WebApplication Build(IRunStore store)
    {
        var builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        builder.Logging.ClearProviders();
        builder.Services.AddSingleton(_ => store);
        builder.Services.AddRunReading();
        var server = builder.Build();
        server.MapRuns();
        server.MapRunPages();
        server.MapPageAssets();
        return server;
    }

    /// <returns>The run's name.</returns>
    private string Run(int exitCode, params string[] arguments)
    {
        using var run = ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = StoreFile }, [.. arguments, "--out", "out"]).WaitForEnd(exitCode);
        using var list = ProgramRun.Start(new Dictionary<string, string> { ["TESTRIG_STORE"] = StoreFile }, ["runs", "list", "--json", "-"]).WaitForEnd(0);
        return RunRecord.Of(list).Root.GetProperty("runs")[0].GetProperty("name").GetString()!;
    }
}
