using TestRig.Bench.Serving;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>One service for many tests: each has a bench, tokens and addresses of its own.</summary>
public sealed class GuardedService : IAsyncLifetime
{
    /// <summary>Of the board of the bench "odd", as somebody unfriendly would call it.</summary>
    public const string OddBoard = "<script>document.title='injected'</script><img src=x onerror=alert(1)>";

    private const string Bench = "adapter: simulated, profile: dome-drive.yaml, simulated: { speed: 100 }";

    private ServiceState? _state;

    public GuardedService()
    {
        var odd = Path.Combine(TestFolders.Create().FullName, "odd.yaml");
        var profile = File.ReadAllText(Repository.DomeProfile);
        const string name = "name: Dome drive interface card (invented demonstration board)";
        Assert.Contains(name, profile, StringComparison.Ordinal);
        File.WriteAllText(odd, profile.Replace(name, $"name: \"{OddBoard}\"", StringComparison.Ordinal));
        Run = ServiceRun.Start($$"""
              dome: { {{Bench}} }
              idle: { {{Bench}} }
              again: { {{Bench}} }
              twice: { {{Bench}} }
              moving: { {{Bench}}, motion: true }
              odd: { adapter: simulated, profile: {{odd}}, simulated: { speed: 100 } }
            """);
    }

    internal ServiceRun Run { get; }

    internal string State => Path.Combine(Run.Folder, "service");

    public async Task InitializeAsync() => _state = await ServiceState.OpenAsync(State, CancellationToken.None);

    public async Task DisposeAsync()
    {
        if (_state is not null)
            await _state.DisposeAsync();
        Run.Dispose();
    }

    /// <returns>The secret of a new token.</returns>
    public async Task<string> TokenAsync(string name, AccessRights rights, TimeSpan? age = null, TimeSpan? life = null)
    {
        var made = DateTimeOffset.Now - (age ?? TimeSpan.Zero);
        var (token, secret) = AccessToken.Create(name, rights, made, made + (life ?? TimeSpan.FromDays(1)));
        Assert.True(await _state!.AddAsync(token, CancellationToken.None));
        return secret;
    }

    /// <summary>As testrig arm does, from whenever on.</summary>
    public void Arm(string bench, bool motion = false, TimeSpan? ago = null)
    {
        var at = DateTimeOffset.Now - (ago ?? TimeSpan.Zero);
        new ArmingFile(Path.Combine(State, "armed"), bench).Arm(new(bench, "somebody", at, at.AddHours(1)) { AllowMotion = motion, MotorIsOff = !motion, NoStopInput = true });
    }

    public void Disarm(string bench) => new ArmingFile(Path.Combine(State, "armed"), bench).Disarm();
}
