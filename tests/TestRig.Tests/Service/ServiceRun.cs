using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>The service as a process of its own, with simulated benches; it can be ended, killed and started again on what it remembers.</summary>
internal sealed partial class ServiceRun : IDisposable
{
    /// <summary>Long enough for a machine that does other things, too.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(2);

    private readonly Dictionary<string, string> _environment = [];
    private ProgramRun _program;

    private ServiceRun(string folder, string configuration, IReadOnlyDictionary<string, string> environment)
    {
        Folder = folder;
        Configuration = configuration;
        foreach (var (name, value) in environment)
            _environment[name] = value;
        _program = Begin();
    }

    /// <summary>Where configuration, state, records and store are.</summary>
    public string Folder { get; }

    /// <summary>The file that it was told to serve.</summary>
    public string Configuration { get; }

    public Uri Address { get; private set; } = null!;

    public string Output => _program.Output;

    /// <summary>A bench of the dome card that works a hundred times as fast as a real one.</summary>
    public const string Dome = "  dome: { adapter: simulated, profile: dome-drive.yaml, simulated: { faults: [ OK3=dead ], speed: 100 } }";

    /// <param name="benches">What stands below the key benches.</param>
    /// <param name="top">Further keys of the file.</param>
    /// <param name="name">Of the service.</param>
    public static ServiceRun Start(string benches = Dome, string top = "", IReadOnlyDictionary<string, string>? environment = null, string name = "workshop")
    {
        var folder = TestFolders.Create().FullName;
        foreach (var profile in Directory.GetFiles(Path.Combine(Repository.Root, "profiles"), "*.yaml"))
            File.Copy(profile, Path.Combine(folder, Path.GetFileName(profile)));
        var configuration = Path.Combine(folder, "benches.yaml");
        var listen = top.Contains("listen:", StringComparison.Ordinal) ? "" : "listen: http://127.0.0.1:0\n";
        var store = top.Contains("store:", StringComparison.Ordinal) ? "" : "store: runs.db\n";
        File.WriteAllText(configuration, $"format: testrig-benches/1\nname: {name}\n{store}{listen}{top}\nbenches:\n{benches}\n");
        return new(folder, configuration, environment ?? new Dictionary<string, string>());
    }

    /// <summary>A client that presents this token; null for none.</summary>
    public HttpClient Client(string? secret)
    {
        var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false, ServerCertificateCustomValidationCallback = HttpClientHandler.DangerousAcceptAnyServerCertificateValidator }) { BaseAddress = Address, Timeout = _patience };
        if (secret is not null)
            client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", secret);
        return client;
    }

    /// <returns>The secret of a new token.</returns>
    public string CreateToken(string name, string rights) => Secret().Match(Command("token", "create", Configuration, name, "--rights", rights)).Value;

    /// <summary>Arms a bench, and waits until the service knows.</summary>
    public async Task ArmAsync(HttpClient client, string bench = "dome", params string[] options)
    {
        Command(["arm", Configuration, bench, "--for", "1h", "--motor-is-off", .. options]);
        await WaitAsync(client, $"/api/benches/{bench}", now => now.TryGetProperty("armed", out _));
    }

    /// <summary>Another command of the program, which must succeed.</summary>
    /// <returns>What it said.</returns>
    public static string Command(params string[] arguments)
    {
        using var run = ProgramRun.ToEnd(arguments);
        Assert.True(run.ExitCode == 0, $"testrig {string.Join(' ', arguments)}: {run.ExitCode}{Environment.NewLine}{run.Output}{run.Error}");
        return run.Output;
    }

    /// <summary>Asks for a job under a key of its own.</summary>
    public static async Task<HttpResponseMessage> AskAsync(HttpClient client, string wish, string bench = "dome", string? key = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/benches/{bench}/jobs") { Content = new StringContent(wish, MediaTypeHeaderValue.Parse("application/json")) };
        request.Headers.Add("Idempotency-Key", key ?? Guid.NewGuid().ToString("N"));
        return await client.SendAsync(request);
    }

    /// <returns>The number of a job that was begun or waits.</returns>
    public static async Task<long> AskForAsync(HttpClient client, string wish, string bench = "dome")
    {
        using var answer = await AskAsync(client, wish, bench);
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.IsSuccessStatusCode, text);
        return JsonDocument.Parse(text).RootElement.GetProperty("id").GetInt64();
    }

    /// <summary>Asks until the answer is as wanted.</summary>
    public static async Task<JsonElement> WaitAsync(HttpClient client, string path, Func<JsonElement, bool> wanted)
    {
        using var patience = new CancellationTokenSource(_patience);
        JsonElement last = default;
        while (true)
        {
            using (var answer = await client.GetAsync(path, patience.Token))
            {
                if (answer.IsSuccessStatusCode)
                {
                    last = await answer.Content.ReadFromJsonAsync<JsonElement>(patience.Token);
                    if (wanted(last))
                        return last;
                }
            }
            Assert.False(patience.IsCancellationRequested, $"{path} is still {last}");
            await Task.Delay(50, CancellationToken.None);
        }
    }

    public static Task<JsonElement> WaitForEndAsync(HttpClient client, long job) => WaitAsync(client, $"/api/jobs/{job}", now => now.GetProperty("state").GetString() is not ("waiting" or "running" or "interrupted"));

    /// <summary>Waits until the process has said so.</summary>
    public void WaitFor(string words) => _program.WaitFor(words);

    /// <summary>As systemd ends it.</summary>
    /// <returns>Its exit code.</returns>
    public int End()
    {
        _program.Terminate();
        return _program.WaitForEnd().ExitCode;
    }

    public void Kill() => _program.Kill();

    /// <summary>Again, on what it remembers and at the same address.</summary>
    public void StartAgain()
    {
        var text = File.ReadAllText(Configuration);
        File.WriteAllText(Configuration, text.Replace("listen: http://127.0.0.1:0\n", $"listen: http://127.0.0.1:{Address.Port}\n", StringComparison.Ordinal));
        _program.Dispose();
        _program = Begin();
    }

    public void Dispose() => _program.Dispose();

    private ProgramRun Begin()
    {
        var program = ProgramRun.Start(_environment, ["serve", Configuration]);
        program.WaitFor("Listening on ");
        Address = new(Listening().Match(program.Output).Groups[1].Value);
        return program;
    }

    [GeneratedRegex(@"testrig-[A-Za-z0-9_-]{43}")]
    private static partial Regex Secret();

    [GeneratedRegex(@"Listening on ""?(https?://[^\s""]+)")]
    private static partial Regex Listening();
}
