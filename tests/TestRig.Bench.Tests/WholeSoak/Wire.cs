namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>One direction of a link. What is sent at once stays in order, unless the wire is bad.</summary>
/// <param name="deliver">Where bytes go that have arrived.</param>
internal sealed class Wire(World world, string name, WireFaults faults, Random random, FaultCount count, Action<byte[]> deliver)
{
    private static readonly TimeSpan _latency = TimeSpan.FromMilliseconds(1);

    private long _busyUntil;
    private int _cuts;

    /// <summary>Whether the wire is still bad.</summary>
    public bool IsBad { get; set; } = true;

    /// <summary>What is under way never arrives.</summary>
    public void Cut() => _cuts++;

    public void Send(byte[] bytes)
    {
        var sent = bytes;
        var late = TimeSpan.Zero;
        var twice = false;
        if (IsBad)
        {
            if (Happens(faults.Lost, "bytes lost"))
            {
                var from = random.Next(sent.Length);
                sent = [.. sent[..from], .. sent[Math.Min(sent.Length, from + 1 + random.Next(8))..]];
            }
            if (sent.Length > 0 && Happens(faults.Damaged, "bytes damaged"))
            {
                sent = [.. sent];
                sent[random.Next(sent.Length)] ^= (byte)(1 << random.Next(8));
            }
            if (Happens(faults.Late, "bytes late"))
                late = TimeSpan.FromMilliseconds(random.Next(1, 400));
            twice = Happens(faults.Twice, "bytes twice");
        }
        Deliver(sent, late);
        if (twice)
            Deliver(sent, TimeSpan.Zero);
    }

    /// <summary>Bytes that nobody sent.</summary>
    public void Noise()
    {
        var noise = new byte[random.Next(1, 40)];
        random.NextBytes(noise);
        Deliver(noise, TimeSpan.Zero);
    }

    private void Deliver(byte[] bytes, TimeSpan late)
    {
        if (bytes.Length == 0)
            return;
        _busyUntil = Math.Max(_busyUntil, world.Now + World.Picoseconds(_latency + late)) + (bytes.Length * Device.ByteTakes);
        var cuts = _cuts;
        world.At(_busyUntil, null, () =>
        {
            if (cuts != _cuts)
                return;
            world.Tell($"{name} {Convert.ToHexString(bytes)}");
            deliver(bytes);
        });
    }

    private bool Happens(double share, string kind)
    {
        if (share == 0 || random.NextDouble() >= share)
            return false;
        count.Add(kind);
        return true;
    }
}
