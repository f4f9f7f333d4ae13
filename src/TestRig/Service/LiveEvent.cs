using System.Globalization;
using System.Net.ServerSentEvents;

namespace TestRig.Service;

/// <summary>Server-sent events (WHATWG HTML, 9.2) of what changes.</summary>
internal static class LiveEvent
{
    /// <summary>So soon somebody who lost the connection is to ask again.</summary>
    private static readonly TimeSpan _again = TimeSpan.FromSeconds(2);

    public static SseItem<T> Of<T>(T data, long version) => new(data) { EventId = version.ToString(CultureInfo.InvariantCulture), ReconnectionInterval = _again };
}
