using TestRig.Bench.Adapters.Serial;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>A link session in the world's time.</summary>
public class HeartbeatFeedTests
{
    [Fact]
    public void A_heartbeat_is_fed_once_when_a_third_of_it_has_passed_and_not_waited_for_in_a_loop()
    {
        var world = new World(new Trace(null));
        var process = new HostProcess(world, new WallClock());
        var port = new SilentPort(world);
        var session = new LinkSession(port, LinkPatience.Default, process.Time);
        // A third of it is no whole number of milliseconds.
        process.Start(() => session.KeepAliveAsync(TimeSpan.FromMilliseconds(100)), _ => { });
        world.RunUntil(() => world.Now >= World.Picoseconds(TimeSpan.FromMilliseconds(150)), long.MaxValue);
        var written = Assert.Single(port.Written);
        Assert.InRange(written, World.Picoseconds(TimeSpan.FromMilliseconds(33)), World.Picoseconds(TimeSpan.FromMilliseconds(35)));
    }

    private sealed class SilentPort : ILinkPort
    {
        private readonly World _world;

        public SilentPort(World world)
        {
            _world = world;
            // Something is always going to happen.
            Tick();
        }

        public string Name => "silent";

        public List<long> Written { get; } = [];

        public void Start(ILinkReceiver receiver)
        {
        }

        public void Write(ReadOnlySpan<byte> bytes) => Written.Add(_world.Now);

        public void Dispose()
        {
        }

        private void Tick() => _world.In(TimeSpan.FromMilliseconds(10), null, Tick);
    }
}
