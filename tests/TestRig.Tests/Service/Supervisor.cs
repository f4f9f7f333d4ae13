using System.Collections.Concurrent;
using System.Globalization;
using System.Net.Sockets;
using System.Text;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>Hears what a service tells whoever supervises it, as systemd does (sd_notify(3)), and always has an ear for it.</summary>
internal sealed class Supervisor : IDisposable
{
    /// <summary>Of our own: what came before it has been heard.</summary>
    private const string UpToHere = "up to here";

    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(2);

    private readonly Socket _socket = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly string _path = Path.Combine(TestFolders.Create().FullName, "notify");
    private readonly BlockingCollection<string> _heard = [];
    private readonly Thread _ear;

    public Supervisor()
    {
        _socket.Bind(new UnixDomainSocketEndPoint(_path));
        _ear = new(Listen) { IsBackground = true };
        _ear.Start();
    }

    /// <summary>What systemd gives a service of Type=notify.</summary>
    /// <param name="watchdog">Null for none.</param>
    public Dictionary<string, string> Given(TimeSpan? watchdog) => watchdog is { } every
        ? new() { ["NOTIFY_SOCKET"] = _path, ["WATCHDOG_USEC"] = ((long)every.TotalMicroseconds).ToString(CultureInfo.InvariantCulture) }
        : new() { ["NOTIFY_SOCKET"] = _path };

    /// <summary>The next message; waits for it.</summary>
    public string Next() => _heard.TryTake(out var message, _patience) ? message : throw new TimeoutException("The service says nothing.");

    /// <summary>Messages that came until now and were not asked for yet.</summary>
    public List<string> Pending()
    {
        Say(UpToHere);
        var messages = new List<string>();
        while (Next() is var message && message != UpToHere)
            messages.Add(message);
        return messages;
    }

    public void Dispose()
    {
        Say("");
        _ear.Join();
        _socket.Dispose();
        _heard.Dispose();
    }

    private void Say(string message)
    {
        using var socket = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        socket.SendTo(Encoding.UTF8.GetBytes(message), new UnixDomainSocketEndPoint(_path));
    }

    private void Listen()
    {
        var message = new byte[1000];
        while (_socket.Receive(message) is > 0 and var length)
            _heard.Add(Encoding.UTF8.GetString(message, 0, length));
    }
}
